"""The work summary: what 14 CFR 43.9(a) asks of a maintenance record entry, for certifying staff.

43.9(a), from memory: (1) a description of the work or a reference to data acceptable to the
Administrator, (2) the date of completion, (3) the name of the person who did the work, if other
than the one in (4), (4) signature, certificate number and kind of certificate of the person who
approves the work, which is the approval for return to service. Here, (4) is never filled in.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from handsfree.engine.entries import DateRead, IdentityRead, StepConfirmed, StoodBy, TaskEnded
from handsfree.engine.wording import RELEASE
from handsfree.record.entries import LoggedEntry
from handsfree.record.labour import Labour, labour
from handsfree.record.marks import RecordOpened, Resumed
from handsfree.record.readings import LoggedReading, readings
from handsfree.record.values import kind_named
from handsfree.record.verify import Verified
from handsfree.task.model import Task
from handsfree.task.validity import DateVerdict

_BLANK = "______________________"
_TOLD = frozenset(
    kind_named(each)
    for each in (RecordOpened, Resumed, TaskEnded, StepConfirmed, IdentityRead, DateRead, StoodBy)
)


@dataclass(frozen=True, slots=True)
class Summary:
    """What is told of a record."""

    task: Task
    completed: datetime | None  # UTC; None: the task is not finished
    people: tuple[str, ...]  # who did the work, as their keys name them
    done: tuple[str, ...]  # steps that are confirmed
    identities: tuple[IdentityRead | DateRead, ...]
    waits: tuple[StoodBy, ...]
    readings: tuple[LoggedReading, ...]
    labour: tuple[Labour, ...]
    verified: Verified
    head: str  # SHA-256 of the last entry, which this summary belongs to


def summarise(task: Task, entries: Iterable[LoggedEntry], verified: Verified, head: str) -> Summary:
    """Gather what the summary tells; raises EntryUnreadable."""
    entries = tuple(entries)
    completed: datetime | None = None
    people: dict[str, None] = {}
    done: list[str] = []
    identities: list[IdentityRead | DateRead] = []
    waits: list[StoodBy] = []
    for entry in entries:
        if entry.kind not in _TOLD:
            continue
        match entry.value:
            case RecordOpened(by=by) | Resumed(by=by) if by is not None:
                people[by] = None
            case TaskEnded():
                completed = entry.at
            case StepConfirmed(step=step):
                done.append(step)
            case IdentityRead() | DateRead() as identity:
                identities.append(identity)
            case StoodBy() as wait:
                waits.append(wait)
    return Summary(
        task=task,
        completed=completed,
        people=tuple(people),
        done=tuple(dict.fromkeys(done)),
        identities=tuple(identities),
        waits=tuple(waits),
        readings=readings(entries),
        labour=labour(entries),
        verified=verified,
        head=head,
    )


def as_text(summary: Summary) -> str:
    """The summary in Markdown."""
    return "\n".join([*_entry(summary), *_work(summary), *_trust(summary), ""])


def _entry(summary: Summary) -> list[str]:
    task, data = summary.task, summary.task.approved_data
    completed = "not completed" if summary.completed is None else f"{summary.completed:%Y-%m-%d}"
    return [
        f"# Work summary: {task.title}",
        "",
        *(f"> {notice}" for notice in task.notice),
        *([""] if task.notice else []),
        f"{RELEASE} The content follows 14 CFR 43.9(a).",
        "",
        "## (1) Work, and the data it follows",
        "",
        f"{task.title}. Task {task.task}, revision {task.revision}, after {data.reference}, "
        f"revision {data.revision}.",
        f"Aircraft: {task.applicability.aircraft}. Component: {task.applicability.component}.",
        f"{len(summary.done)} of {len(task.steps)} steps are confirmed.",
        "",
        "## (2) Date of completion",
        "",
        f"{completed} (UTC)" if summary.completed is not None else completed,
        "",
        "## (3) Name of the person who did the work",
        "",
        ", ".join(summary.people) or _BLANK,
        "",
        "## (4) Approval for return to service",
        "",
        "Left blank, for licensed certifying staff.",
        "",
        f"Signature: {_BLANK}",
        f"Certificate number: {_BLANK}",
        f"Kind of certificate: {_BLANK}",
        "",
    ]


def _work(summary: Summary) -> list[str]:
    lines = ["## Labour", "", "| step | work | stand-by |", "| --- | --- | --- |"]
    lines += [
        f"| {each.step} | {_clock(each.work)} | {_clock(each.stand_by)} |"
        for each in summary.labour
    ]
    work = sum((each.work for each in summary.labour), timedelta(0))
    stand_by = sum((each.stand_by for each in summary.labour), timedelta(0))
    lines += [f"| total | {_clock(work)} | {_clock(stand_by)} |", ""]
    affirmed = [each for each in summary.readings if each.affirmed == "yes"]
    if affirmed:
        lines += ["## Readings that were affirmed", ""]
        lines += [f"- {each.step}: {each.value} {each.unit}, {each.verdict}" for each in affirmed]
        lines += [""]
    read = [line for each in summary.identities for line in _read_out(each)]
    if read:
        lines += ["## Numbers and dates that were read out", ""]
        lines += read
        lines += [""]
    if summary.waits:
        lines += ["## Where the task waited", ""]
        lines += [f"- {each.step}: {each.reason}" for each in summary.waits]
        lines += [""]
    return lines


def _read_out(read: IdentityRead | DateRead) -> list[str]:
    """A line for what was accepted; none for what was not."""
    if isinstance(read, DateRead):
        in_date = read.verdict is DateVerdict.IN_DATE
        return [f"- {read.step}: {read.said}"] if in_date else []
    return [f"- {read.step}: {read.characters}"] if read.accepted else []


def _trust(summary: Summary) -> list[str]:
    verified = summary.verified
    lines = ["## The record", "", f"Its last entry has the SHA-256 {summary.head}."]
    lines += [
        f"Sealed by {seal.by} at {seal.utc}, entries 0 to {seal.entries - 1}, key {seal.key}."
        for seal in verified.seals
    ]
    if verified.problems:
        lines += ["", "**It does not verify:**", ""]
        lines += [f"- {problem}" for problem in verified.problems]
    else:
        lines += ["It verifies from end to end."]
    if verified.removed:
        lines += [f"The sound of {verified.removed} utterances was removed; the record says why."]
    return lines


def _clock(time: timedelta) -> str:
    seconds = round(time.total_seconds())
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
