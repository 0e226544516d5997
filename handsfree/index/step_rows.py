"""What is noted of each time that a step was gone through, and of the tools at it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from handsfree.engine.effects import Say
from handsfree.index.folders import Place
from handsfree.index.hearings import asked_again_at
from handsfree.index.tables import Row, SaidRow, StepRow, ToolRow, tool_key
from handsfree.record.entries import LoggedEntry
from handsfree.record.limits_told import highest_told, lowest_told
from handsfree.record.passes import End, Pass
from handsfree.record.steps_done import StepDone, resolution_of, steps_done
from handsfree.record.summary import Summary, zone_of
from handsfree.task.expectations import IdentityExpected
from handsfree.task.model import Task
from handsfree.words.heard import Heard


def step_rows(
    place: Place,
    task: Task,
    entries: Sequence[LoggedEntry],
    summary: Summary,
    said: Sequence[SaidRow],
) -> Iterator[Row]:
    """A row for each pass, and for each tool at it; raises EntryUnreadable."""
    lines = [each.seq for each in entries if isinstance(each.value, Say | Heard)]
    done = iter(steps_done(place.folder, task, entries, summary.passes, zone_of(entries)))
    last = entries[-1].seq if entries else 0
    for number, each in enumerate(summary.passes):
        row = None if each.end is End.OPEN else next(done)
        until = last if each.end is End.OPEN else each.last_entry
        asked_again = asked_again_at(said, each.entry, until)
        line = next((seq for seq in lines if seq >= each.entry), each.entry)
        yield _step(place.id, task, number, each, row, asked_again, line, summary)
        if row is not None:
            yield from _tools(place.id, task, number, each, row)


def _step(
    record: str,
    task: Task,
    number: int,
    each: Pass,
    row: StepDone | None,
    asked_again: int,
    line: int,
    summary: Summary,
) -> StepRow:
    step = task.steps[task.index_of[each.step]] if each.step in task.index_of else None
    resolution = resolution_of(task, each.step)
    begun = StepRow(
        record=record,
        pass_number=number,
        step=each.step,
        place=0 if step is None else task.index_of[each.step] + 1,
        text="" if step is None else step.instruction,
        entry=line,
        began=each.began.isoformat(timespec="milliseconds"),
        day=summary.local(each.began).date().isoformat(),
        work_s=each.work.total_seconds(),
        stand_by_s=each.stand_by.total_seconds(),
        attempts=each.attempts,
        asked_again=asked_again,
        ended_as=End.OPEN.value,
        undone=each.undone,
        person=each.done_by,
        lowest_score=each.lowest_score,
    )
    if row is None:
        return begun
    return replace(
        begun,
        ended_as=row.ended_as,
        affirmed_by=row.affirmed_by or "",
        second_person=row.second_person or "",
        second_value=row.second_value or "",
        inspector=row.inspector or "",
        value=row.value or "",
        unit=row.unit or "",
        lowest=lowest_told(row.lowest, resolution),
        highest=highest_told(row.highest, resolution),
        verdict=row.verdict or "",
        tool=row.tool or "",
        tool_serial=row.tool_serial or "",
        tool_due=row.tool_due or "",
    )


def _tools(record: str, task: Task, number: int, each: Pass, row: StepDone) -> Iterator[ToolRow]:
    for serial in (row.tool_serial or "").split("; "):
        if tool_key(serial):
            yield ToolRow(record, number, serial, tool_key(serial), used=True)
    expected = task.steps[task.index_of[each.step]].expect if each.step in task.index_of else None
    is_a_tool = isinstance(expected, IdentityExpected) and expected.tool is not None
    if is_a_tool and row.value and each.holds and tool_key(row.value):
        yield ToolRow(record, number, row.value, tool_key(row.value), used=False)
