"""The work summary: what 14 CFR 43.9(a) asks of a maintenance record entry, for certifying staff.

43.9(a), from memory: (1) a description of the work or a reference to data acceptable to the
Administrator, (2) the date of completion, (3) the name of the person who did the work, if other
than the one in (4), (4) signature, certificate number and kind of certificate of the person who
approves the work, which is the approval for return to service. Here, (4) is never filled in.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from handsfree.engine.entries import (
    DateRead,
    FindingCategorised,
    FindingClosed,
    FindingOpened,
    HandedOver,
    IdentityRead,
    InspectionPassed,
    InspectionRejected,
    PersonIdentified,
    Remarked,
    StatementsDiffer,
    StepBegun,
    StepConfirmed,
    StepDeferred,
    StepLeft,
    StoodBy,
    TaskBegun,
    TaskEnded,
    WentBack,
)
from handsfree.engine.findings import Finding
from handsfree.engine.wording import RELEASE
from handsfree.record.entries import LoggedEntry
from handsfree.record.labour import Labour, PersonLabour, labour, labour_of_people
from handsfree.record.marks import RecordOpened, Resumed
from handsfree.record.readings import LoggedReading, readings
from handsfree.record.verify import Verified
from handsfree.task.model import Task
from handsfree.task.validity import DateVerdict
from handsfree.visible import visible

_BLANK = "______________________"


@dataclass(frozen=True, slots=True)
class Summary:
    """What is told of a record."""

    task: Task
    completed: datetime | None  # UTC; None: the task is not finished
    identified: bool  # by a roster; else the names are those of the keys
    people: tuple[str, ...]  # who did the work
    done: tuple[str, ...]  # steps that are confirmed
    identities: tuple[IdentityRead | DateRead, ...]
    waits: tuple[StoodBy, ...]
    not_done: tuple[tuple[str, str], ...]  # steps left undone, with how, as it stands at the end
    findings: tuple[tuple[Finding, str], ...]  # with who closed it; "": it is open
    told: tuple[str, ...]  # inspections, handovers and what was undone, in their order
    readings: tuple[LoggedReading, ...]
    labour: tuple[Labour, ...]
    people_labour: tuple[PersonLabour, ...]
    verified: Verified
    head: str  # SHA-256 of the last entry, which this summary belongs to


def summarise(task: Task, entries: Iterable[LoggedEntry], verified: Verified, head: str) -> Summary:
    """Gather what the summary tells; raises EntryUnreadable."""
    entries = tuple(entries)
    story = _Story()
    for entry in entries:
        story.take_in(entry)
    return Summary(
        task=task,
        completed=story.completed,
        identified=story.identified,
        people=tuple(story.people or story.keys),
        done=tuple(story.done),
        identities=tuple(story.identities),
        waits=tuple(story.waits),
        not_done=tuple(story.not_done.items()),
        findings=tuple((each, story.closed.get(n, "")) for n, each in story.findings.items()),
        told=tuple(story.told),
        readings=readings(entries),
        labour=labour(entries),
        people_labour=labour_of_people(entries),
        verified=verified,
        head=head,
    )


@dataclass(slots=True)
class _Story:
    """What a record tells, entry by entry. Dictionaries keep the order and each thing once."""

    completed: datetime | None = None
    identified: bool = False
    keys: dict[str, None] = field(default_factory=dict)
    people: dict[str, None] = field(default_factory=dict)
    done: dict[str, None] = field(default_factory=dict)
    not_done: dict[str, str] = field(default_factory=dict)
    identities: list[IdentityRead | DateRead] = field(default_factory=list)
    waits: list[StoodBy] = field(default_factory=list)
    findings: dict[int, Finding] = field(default_factory=dict)
    closed: dict[int, str] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    begun: dict[str, int] = field(default_factory=dict)  # identities before a step was begun

    def take_in(self, entry: LoggedEntry) -> None:
        """One more entry."""
        match entry.value:
            case RecordOpened(by=by) | Resumed(by=by) if by is not None:
                self.keys[by] = None
            case TaskBegun(people_identified=identified):
                self.identified = identified
            case PersonIdentified(role, number, name):
                self.people[f"{name} ({number}), {role.value}"] = None
            case TaskEnded():
                self.completed = entry.at
            case StepConfirmed(step=step):
                self.not_done.pop(step, None)
                self.done[step] = None
            case StepLeft(step=step, outcome=outcome):
                self._leave(step, outcome)
            case StepDeferred(step=step, authority=authority):
                self._leave(step, f"deferred by {authority}")
            case IdentityRead() | DateRead() as identity:
                self.identities.append(identity)
            case StoodBy() as wait:
                self.waits.append(wait)
            case other:
                self._take_in_people(other)

    def _take_in_people(self, value: object) -> None:
        match value:
            case FindingOpened(finding):
                self.findings[finding.number] = finding
            case FindingCategorised(number, category):
                self._amend(number, lambda finding: replace(finding, category=category))
            case FindingClosed(number, by, name):
                self.closed[number] = f"{name} ({by})"
            case Remarked(step, about, text, None):
                self.told.append(f"{step}: remark on {about}: {text or '(in the clip)'}")
            case Remarked(finding=int(number), text=text):
                self._amend(number, lambda finding: replace(finding, remark=text))
            case InspectionPassed(step, by):
                self.told.append(f"{step}: inspected by {by}")
            case InspectionRejected(step, by):
                self.told.append(f"{step}: rejected by {by}")
            case StatementsDiffer(step, first, second):
                self.told.append(f"{step}: two persons read {first} and {second}")
            case StepBegun(step=step):
                self.begun[step] = len(self.identities)
            case WentBack(step, undone):
                since = self.begun.get(step, len(self.identities))
                self.identities = [
                    each for each in self.identities[:since] if each.step not in undone
                ]
                self.told.append(f"back to {step}, undone: {', '.join(undone) or 'none'}")
                for each in undone:
                    self.done.pop(each, None)
            case HandedOver(step, by):
                self.told.append(f"handed over at {step} by {by or 'a person not identified'}")

    def _amend(self, number: int, amended: Callable[[Finding], Finding]) -> None:
        # A record that was changed can name a finding that nobody opened; `verify` tells of that.
        if number in self.findings:
            self.findings[number] = amended(self.findings[number])

    def _leave(self, step: str, how: str) -> None:
        self.done.pop(step, None)
        self.not_done[step] = how


def as_text(summary: Summary) -> str:
    """The summary in Markdown.

    What people and files say in it stays on the line that it is told on, and is no HTML: a remark
    must not be able to write a section of its own, such as an approval.
    """
    lines = (*_entry(summary), *_work(summary), *_trust(summary), "")
    return "\n".join(visible(line).replace("<", "&lt;") for line in lines)


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
        "; ".join(summary.people) or _BLANK,
        *(() if summary.identified else ("", "People were not identified in this run.")),
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
    if summary.people_labour:
        lines += ["| person | role | work | stand-by |", "| --- | --- | --- | --- |"]
        lines += [
            f"| {each.name} ({each.staff_number}) | {each.role.value} | {_clock(each.work)} "
            f"| {_clock(each.stand_by)} |"
            for each in summary.people_labour
        ]
        lines += [""]
    if summary.not_done:
        lines += ["## Steps that are not done", ""]
        lines += [f"- {step}: {how}" for step, how in summary.not_done]
        lines += [""]
    if summary.findings:
        lines += ["## Findings", ""]
        lines += [_finding(each, closed_by) for each, closed_by in summary.findings]
        lines += [""]
    if summary.told:
        lines += ["## Inspections, remarks, handovers, and what was undone", ""]
        lines += [f"- {each}" for each in summary.told]
        lines += [""]
    affirmed = [each for each in summary.readings if each.affirmed == "yes"]
    if affirmed:
        lines += ["## Readings that were affirmed", ""]
        lines += [f"- {each.step}: {each.value} {each.unit}, {each.verdict}" for each in affirmed]
        lines += [""]
    undone = [each for each in summary.readings if each.undone == "yes" and each.value]
    if undone:
        lines += ["## Readings that were undone, and do not count", ""]
        lines += [f"- {each.step}: {each.value} {each.unit}, {each.verdict}" for each in undone]
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


def _finding(finding: Finding, closed_by: str) -> str:
    raised = f", raised by {finding.by}" if finding.by else ""
    ended = f"closed by {closed_by}" if closed_by else "**open**"
    remark = finding.remark or "(the remark is in the clip)"
    return (
        f"- {finding.number}, at {finding.step}, {finding.category.value}: {remark}{raised}; "
        f"{ended}"
    )


def _clock(time: timedelta) -> str:
    seconds = round(time.total_seconds())
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
