"""The table of a run: a row for each time that a step was gone through to its end."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import timezone
from decimal import Decimal
from pathlib import Path

from handsfree.engine.entries import ChoiceMade, DateRead, IdentityRead, ReadingTaken, TaskBegun
from handsfree.engine.events import Started
from handsfree.record.clips import path_of
from handsfree.record.entries import LoggedEntry
from handsfree.record.limits_told import highest_told, lowest_told
from handsfree.record.marks import Redacted
from handsfree.record.passes import End, Pass
from handsfree.record.reviews import Review
from handsfree.record.table import Cell
from handsfree.task.equipment_list import ListedTool
from handsfree.task.expectations import ReadingExpected
from handsfree.task.model import Task


@dataclass(frozen=True, slots=True)
class StepDone:
    """One row. The first columns are the same in each, so that rows of many records can be joined.

    None is what does not apply. Times are by the clock on the wall, with its distance from UTC.
    """

    record: str  # the name of its folder
    review: str  # the word that stands, and whose: "accepted by ..."; "" without one
    aircraft: str
    component: str
    task: str
    revision: str
    variant: str
    step: str
    text: str
    ended_as: str  # "done", "deferred by ..." or what it was left by
    valid: str  # "valid", or "undone" by "back to step"
    began: str
    ended: str
    work_s: float
    stand_by_s: float
    attempts: int
    person: str
    affirmed_by: str | None
    heard: str | None  # how what affirmed it reached the tool
    source: str | None
    second_person: str | None
    second_value: str | None
    second_clip: str | None
    inspector: str | None
    value: str | None
    unit: str | None
    lowest: str | None  # exact: a fraction of whole numbers where it has no last decimal
    highest: str | None
    verdict: str | None
    tool: str | None
    tool_serial: str | None
    tool_due: str | None
    lowest_score: float | None
    clip: str | None


COLUMNS = tuple(field.name for field in fields(StepDone))


def steps_done(
    folder: Path,
    task: Task,
    entries: Iterable[LoggedEntry],
    passed: Iterable[Pass],
    zone: timezone,
    word: Review | None = None,
) -> tuple[StepDone, ...]:
    """A row for each pass that has ended; `word` is the review that stands.

    Raises EntryUnreadable.
    """
    review = "" if word is None else word.in_a_line
    values = [entry.value for entry in entries]
    removed = {clip for each in values if isinstance(each, Redacted) for clip in each.clips}
    variants = next((each.variants for each in values if isinstance(each, TaskBegun)), ())
    listed = next((each.equipment for each in values if isinstance(each, Started)), None)
    tools = _Tools(task, {each.serial: each for each in listed or ()}, {}, {})
    rows = []
    for each in passed:
        if each.end is not End.OPEN:
            rows.append(_row(folder, task, each, variants, tools, zone, removed, review))
            tools.take_in(each)
    return tuple(rows)


def cells(row: StepDone, task: Task) -> tuple[Cell, ...]:
    """The row for a table that people read: limits as decimals, what does not apply empty."""
    resolution = resolution_of(task, row.step)
    shown = {name: getattr(row, name) for name in COLUMNS}
    shown["lowest"] = lowest_told(row.lowest, resolution)
    shown["highest"] = highest_told(row.highest, resolution)
    return tuple("" if each is None else str(each) for each in shown.values())


@dataclass(slots=True)
class _Tools:
    """Which tool was read out last, and when its calibration ends."""

    task: Task
    listed: dict[str, ListedTool]  # by serial
    serials: dict[str, str]  # by the id of the tool
    dues: dict[str, str]

    def take_in(self, each: Pass) -> None:
        """What a pass found out of a tool."""
        if not each.holds:
            return
        match each.taken:
            case IdentityRead(characters=characters):
                self.serials |= {
                    tool: characters
                    for tool, step in self.task.number_of.items()
                    if step == each.step
                }
            case DateRead(said=said):
                self.dues |= {
                    tool: said for tool, step in self.task.date_of.items() if step == each.step
                }

    def used_by(self, step: str) -> Iterator[tuple[str, str, str]]:
        """The name, the serial and the last day of each tool that the step uses."""
        if step not in self.task.index_of:
            return
        uses = self.task.steps[self.task.index_of[step]].uses
        for tool in self.task.equipment:
            if tool.id is None or tool.id not in uses:
                continue
            serial = self.serials.get(tool.id, "")
            due = self.dues.get(tool.id)
            if due is None and serial in self.listed and self.listed[serial].calibration_due:
                due = str(self.listed[serial].calibration_due)
            if due is None and tool.calibration_due is not None:
                due = tool.calibration_due.isoformat()
            yield tool.name, serial, due or ""


def _row(
    folder: Path,
    task: Task,
    each: Pass,
    variants: tuple[tuple[str, str], ...],
    tools: _Tools,
    zone: timezone,
    removed: set[str],
    review: str,
) -> StepDone:
    assert each.ended is not None
    step = task.steps[task.index_of[each.step]] if each.step in task.index_of else None
    items = () if step is None else tuple((name, item[0]) for name, item in step.each.items())
    used = tuple(tools.used_by(each.step))
    value, unit, verdict = _value(each)
    taken = each.taken if isinstance(each.taken, ReadingTaken) else None

    def clip(sha256: str | None) -> str | None:
        if sha256 is None:
            return None
        return "removed" if sha256 in removed else str(path_of(folder, sha256))

    return StepDone(
        record=folder.resolve().name,
        review=review,
        aircraft=task.applicability.aircraft,
        component=task.applicability.component,
        task=task.task,
        revision=task.revision,
        variant="; ".join(f"{name}={which}" for name, which in (*variants, *items)),
        step=each.step,
        text="" if step is None else step.instruction,
        ended_as=f"deferred by {each.outcome}" if each.end is End.DEFERRED else each.outcome,
        valid="undone" if each.undone else "valid",
        began=each.began.astimezone(zone).isoformat(timespec="seconds"),
        ended=each.ended.astimezone(zone).isoformat(timespec="seconds"),
        work_s=each.work.total_seconds(),
        stand_by_s=each.stand_by.total_seconds(),
        attempts=each.attempts,
        person=each.done_by,
        affirmed_by=None if each.affirmed is None else each.affirmed.speaker.person,
        heard=None if each.affirmed is None else each.affirmed.way.value,
        source=None if each.affirmed is None else each.affirmed.source,
        second_person=None if each.second is None else each.second.by.person,
        second_value=None
        if each.second is None
        else " ".join(filter(None, (each.second.figures, each.second.unit))),
        second_clip=None if each.second is None else clip(each.second.clip),
        inspector=None if each.inspector is None else each.inspector.person,
        value=value,
        unit=unit,
        lowest=None if taken is None else taken.lowest,
        highest=None if taken is None else taken.highest,
        verdict=verdict,
        tool=_joined(name for name, _, _ in used),
        tool_serial=_joined(serial for _, serial, _ in used),
        tool_due=_joined(due for _, _, due in used),
        lowest_score=each.lowest_score,
        clip=clip(each.clip),
    )


def _joined(found: Iterable[str]) -> str | None:
    """All of them in one cell, a dash for each that is not known."""
    parts = tuple(found)
    return "; ".join(each or "-" for each in parts) if any(parts) else None


def _value(each: Pass) -> tuple[str | None, str | None, str | None]:
    """The value, its unit and its verdict."""
    match each.taken:
        case ReadingTaken(value=value, unit=unit, verdict=verdict):
            return f"{value:f}", unit, verdict.value
        case IdentityRead(characters=characters):
            return characters, None, None
        case DateRead(said=said, verdict=judged):
            return said, None, judged.value
        case ChoiceMade(choice=choice):
            return choice, None, None
    return None, None, None


def resolution_of(task: Task, step: str) -> Decimal | None:
    """The finest step of the scale that a step reads; None: it reads none."""
    if step not in task.index_of:
        return None
    expected = task.steps[task.index_of[step]].expect
    return expected.resolution if isinstance(expected, ReadingExpected) else None
