"""What the work summary tells of a record, gathered from one reading of its entries."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

from handsfree.engine.entries import (
    DateRead,
    FindingClosed,
    HandedOver,
    IdentityRead,
    InspectionPassed,
    InspectionRejected,
    PersonIdentified,
    Remarked,
    StatementsDiffer,
    TaskBegun,
    TaskEnded,
    WentBack,
)
from handsfree.record.entries import LoggedEntry
from handsfree.record.labour import Labour, PersonLabour, labour, labour_of_people
from handsfree.record.marks import Afterwards, RecordOpened
from handsfree.record.mishaps import Mishap, mishaps
from handsfree.record.passes import End, Pass, passes
from handsfree.record.readings import LoggedReading, readings
from handsfree.record.speakers import Utterer, utterers
from handsfree.record.standing import Standing, standing
from handsfree.record.verify import Verified
from handsfree.task.model import Task
from handsfree.task.validity import DateVerdict


@dataclass(frozen=True, slots=True)
class Part:
    """What one person did."""

    who: str
    what: str  # such as "did" or "inspected"
    of: tuple[str, ...]  # steps; numbers of findings


@dataclass(frozen=True, slots=True)
class Summary:
    """What is told of a record."""

    task: Task
    opened: RecordOpened | None  # None: the log is damaged from its first entry on
    began: datetime | None  # in local time, as far as the record tells it
    ended: datetime | None  # the last entry of the work; of the task, where it is finished
    identified: bool  # people were, by a roster; else the names are those of the keys
    standing: Standing
    passes: tuple[Pass, ...]
    mishaps: tuple[Mishap, ...]
    workers: tuple[Part, ...]  # who did the work
    others: tuple[Part, ...]  # who else was there, and for what
    identities: tuple[IdentityRead | DateRead, ...]
    told: tuple[str, ...]  # inspections, handovers and what was undone, in their order
    readings: tuple[LoggedReading, ...]
    said_by: Mapping[int, Utterer]  # who said each utterance, by the number of its entry
    labour: tuple[Labour, ...]
    people_labour: tuple[PersonLabour, ...]
    verified: Verified
    head: str  # SHA-256 of the last entry, which this summary belongs to
    differences: int  # decisions that the engine would not have taken so
    differs_at: int | None = None  # the first entry of those, where it is told

    @property
    def heard(self) -> tuple[Utterer, ...]:
        """One for each utterance."""
        return tuple(self.said_by.values())

    @property
    def is_trial(self) -> bool:
        """Whether its clock did not go as clocks do: no work can have been done in its times."""
        return self.opened is not None and self.opened.clock_rate != 1

    @property
    def completed(self) -> datetime | None:
        """When the task ended, in local time; None: it has not."""
        return self.ended if self.standing.finished else None

    @property
    def why_unsigned(self) -> tuple[str, ...]:
        """Why nobody can be asked to sign below it; empty where somebody can."""
        rejection = self.verified.rejection
        rejected = () if rejection is None else (f"{rejection.by} has rejected it",)
        return (*self.why_unacceptable, *rejected)

    @property
    def why_unacceptable(self) -> tuple[str, ...]:
        """Why no supervisor can accept it, whatever others said of it; empty where one can."""
        return tuple(
            why
            for why, is_so in (
                ("it is a trial", self.is_trial),
                ("it is not finished", not self.standing.finished),
                ("its record does not verify", bool(self.verified.problems)),
                ("a replay decides otherwise", bool(self.differences)),
            )
            if is_so
        )

    def local(self, utc: datetime) -> datetime:
        """A time of the record, by the clock on the wall where it was opened."""
        return utc.astimezone(_zone(self.opened))


def summarise(
    task: Task,
    entries: Iterable[LoggedEntry],
    verified: Verified,
    head: str,
    differences: int = 0,
    differs_at: int | None = None,
) -> Summary:
    """Gather what the summary tells; raises EntryUnreadable.

    `verified` and `differences` are what `verify` and `replay` found; `head` is the SHA-256 of the
    last entry.
    """
    entries = tuple(entries)
    values = tuple(entry.value for entry in entries)
    said_by = utterers(entries)
    passed = passes(entries, said_by)
    opened = next((value for value in values if isinstance(value, RecordOpened)), None)
    zone = _zone(opened)
    work = [each for each in entries if not isinstance(each.value, Afterwards)]
    ended = [each for each in work if isinstance(each.value, TaskEnded)] or work[-1:]
    return Summary(
        task=task,
        opened=opened,
        began=entries[0].at.astimezone(zone) if entries else None,
        ended=ended[-1].at.astimezone(zone) if ended else None,
        identified=any(isinstance(each, TaskBegun) and each.people_identified for each in values),
        standing=standing(passed, entries),
        passes=passed,
        mishaps=mishaps(entries),
        workers=_workers(passed),
        others=_others(passed, values),
        identities=_identities(passed),
        told=tuple(_told(values)),
        readings=readings(entries),
        said_by=said_by,
        labour=labour(entries),
        people_labour=labour_of_people(entries),
        verified=verified,
        head=head,
        differences=differences,
        differs_at=differs_at,
    )


def zone_of(entries: Iterable[LoggedEntry]) -> timezone:
    """Where a record was opened; UTC where it does not tell."""
    first = next(iter(entries), None)
    opened = None if first is None else first.value
    return _zone(opened if isinstance(opened, RecordOpened) else None)


def _zone(opened: RecordOpened | None) -> timezone:
    """Where the record was opened; UTC where it does not tell, or tells nonsense."""
    if opened is None or not opened.zone:
        return UTC
    try:
        offset = datetime.strptime(opened.zone, "%z").utcoffset()
    except ValueError:
        return UTC
    return timezone(offset or timedelta(0))


def _workers(passed: tuple[Pass, ...]) -> tuple[Part, ...]:
    """Who did what of the steps that are done or led on; not what was undone or deferred."""
    found: dict[str, dict[str, None]] = {}
    for each in passed:
        if not each.undone and each.end in (End.DONE, End.LED_ON):
            found.setdefault(each.done_by, {})[each.step] = None
    return tuple(Part(who, "did", tuple(steps)) for who, steps in found.items())


def _others(passed: tuple[Pass, ...], values: Iterable[object]) -> tuple[Part, ...]:
    found: dict[tuple[str, str], dict[str, None]] = {}
    present: dict[str, None] = {}
    for each in passed:
        if not each.undone and each.second is not None and each.end is End.DONE:
            found.setdefault((each.second.by.person, "read back"), {})[each.step] = None
    for value in values:
        match value:
            case PersonIdentified(_, number, name):
                present[f"{name} ({number})"] = None
    for each in passed:
        if each.inspector is not None and not each.undone:
            found.setdefault((each.inspector.person, "inspected"), {})[each.step] = None
    for value in values:
        if isinstance(value, FindingClosed):
            who = f"{value.name} ({value.by})"
            found.setdefault((who, "closed finding"), {})[str(value.number)] = None
    named = {who for who, _ in found} | {each.done_by for each in passed}
    idle = tuple(
        Part(who, "is on the record with no step", ()) for who in present if who not in named
    )
    return (*(Part(who, what, tuple(of)) for (who, what), of in found.items()), *idle)


def _identities(passed: tuple[Pass, ...]) -> tuple[IdentityRead | DateRead, ...]:
    """What was read out and accepted, and is not undone."""
    return tuple(
        each.taken
        for each in passed
        if each.holds
        and (
            (isinstance(each.taken, IdentityRead) and each.taken.accepted)
            or (isinstance(each.taken, DateRead) and each.taken.verdict is DateVerdict.IN_DATE)
        )
    )


def _told(values: Iterable[object]) -> Iterable[str]:
    for value in values:
        match value:
            case Remarked(step, about, text, None):
                yield f"{step}: remark on {about}: {text or '(in the clip)'}"
            case InspectionPassed(step, by):
                yield f"{step}: inspected by {by}"
            case InspectionRejected(step, by):
                yield f"{step}: rejected by {by}"
            case StatementsDiffer(step, first, second):
                yield f"{step}: two persons read {first} and {second}"
            case WentBack(step, undone):
                yield f"back to {step}, undone: {', '.join(undone) or 'none'}"
            case HandedOver(step, by):
                yield f"handed over at {step} by {by or 'a person not identified'}"
