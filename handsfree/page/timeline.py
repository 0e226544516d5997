"""The run along its running time: who spoke when, which step was open, and where each state stood.

Running time stands still while no program runs; where it was killed or ended, a mark tells so.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from handsfree.engine.effects import Say
from handsfree.engine.entries import (
    StepBegun,
    StepConfirmed,
    StepDeferred,
    StepLeft,
    TaskEnded,
    WentBack,
)
from handsfree.engine.events import Spoken, Started
from handsfree.page.presence import Change, There
from handsfree.page.waits import waits
from handsfree.record.entries import LoggedEntry
from handsfree.record.speakers import Utterer
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard

_TICKS = [timedelta(seconds=each) for each in (10, 30, 60, 120, 300, 600, 1800, 3600, 7200, 14400)]


@dataclass(frozen=True, slots=True)
class Span:
    """Something that lasted."""

    begin: timedelta
    end: timedelta
    text: str
    entry: int | None = None  # what it shows more of
    shade: int = 0  # spans of one lane that differ


@dataclass(frozen=True, slots=True)
class Lane:
    """One line of the picture."""

    name: str
    kind: str  # "steps", "voice", "tool", "wait", "change", "presence" or "state"
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """All lanes over the same time."""

    begin: timedelta  # running time on the left
    length: timedelta
    lanes: tuple[Lane, ...]

    def place(self, at: timedelta) -> float:
        """Where a running time lies: from 0 on the left to 100 on the right."""
        if not self.length:
            return 0.0
        return min(max((at - self.begin) / self.length * 100, 0.0), 100.0)

    def ticks(self) -> Iterator[tuple[timedelta, bool]]:
        """Running times for an axis, and whether each is for a close look only."""
        step = next((each for each in _TICKS if self.length / each <= 8), _TICKS[-1])
        fine = step / 5
        for number in range(1, int(self.length / fine) + 1):
            yield self.begin + number * fine, number % 5 != 0


def timeline(
    task: Task,
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
    there: Iterable[There] = (),
    changes: Iterable[Change] = (),
) -> Timeline:
    """The lanes from top to bottom.

    Steps, people, the tool, waiting, hand-overs, who was there, and the watched states.

    All is told by what the record says, not by a replay: where that differs, the record counts.
    """
    end = max((each.offset for each in entries), default=timedelta(0))
    begin = next((each.offset for each in entries if isinstance(each.value, Started)), timedelta(0))
    lanes = (
        Lane("step", "steps", _steps(task, entries, end)),
        *_people(entries, said_by),
        Lane("tool", "tool", _tool(entries)),
        Lane("standing by", "wait", _waits(entries)),
        Lane("handed over, or off", "change", _changes(changes)),
        *_presence(tuple(there)),
        *_states(task, entries, begin, end),
    )
    return Timeline(begin, end - begin, tuple(lane for lane in lanes if lane.spans))


def _steps(task: Task, entries: Sequence[LoggedEntry], end: timedelta) -> tuple[Span, ...]:
    at: list[tuple[timedelta, int]] = []
    for each in entries:
        match each.value:
            case StepBegun(step=step) if step in task.index_of:
                at.append((each.offset, task.index_of[step]))
            case TaskEnded():
                at.append((each.offset, len(task.steps)))
    return tuple(
        Span(begins, ends, f"{step + 1}. {task.steps[step].id}", shade=step % 2)
        for begins, ends, step in _runs(at, end)
        if step < len(task.steps)
    )


def _runs(
    at: Sequence[tuple[timedelta, int]], end: timedelta
) -> list[tuple[timedelta, timedelta, int]]:
    """From when until when each value lasted, where it stays the same for a while."""
    begins = [(next(group)[0], value) for value, group in groupby(at, key=lambda each: each[1])]
    ends = [*(begin for begin, _ in begins[1:]), end]
    return [(begin, end, value) for (begin, value), end in zip(begins, ends, strict=True)]


def _people(entries: Sequence[LoggedEntry], said_by: Mapping[int, Utterer]) -> list[Lane]:
    found: dict[str, list[Span]] = {}
    for each in entries:
        if isinstance(said := each.value, Heard) and each.seq in said_by:
            text = " ".join(said.words) or "(nothing that fits)"
            span = Span(said.started, said.ended, text, each.seq)
            found.setdefault(str(said_by[each.seq].speaker), []).append(span)
    return [Lane(who, "voice", tuple(spans)) for who, spans in found.items()]


def _tool(entries: Sequence[LoggedEntry]) -> tuple[Span, ...]:
    """What was said in one go, until it was spoken."""
    spans: list[Span] = []
    said: list[tuple[LoggedEntry, Say]] = []
    for each in entries:
        match each.value:
            case Say() as say:
                said.append((each, say))
            case Spoken() if said:
                text = " ".join(say.text for _, say in said)
                spans.append(Span(said[0][0].offset, each.offset, text, said[0][0].seq))
                said = []
    return tuple(spans)


def _waits(entries: Sequence[LoggedEntry]) -> tuple[Span, ...]:
    return tuple(Span(each.begin, each.end, each.told, each.entry) for each in waits(entries))


def _changes(changes: Iterable[Change]) -> tuple[Span, ...]:
    return tuple(Span(each.begin, each.end, each.told, each.entry) for each in changes)


def _presence(there: Sequence[There]) -> Iterator[Lane]:
    """A lane for each role that somebody had; from when on nobody had it any more, it says so."""
    for role in Role:
        spans = tuple(
            Span(
                each.begin,
                each.end,
                each.who or "nobody identified",
                each.entry,
                shade=0 if each.who else 1,
            )
            for each in there
            if each.role is role
        )
        yield Lane(f"{role.value} there", "presence", spans)


def _states(
    task: Task, entries: Sequence[LoggedEntry], begin: timedelta, end: timedelta
) -> list[Lane]:
    now = {name: state.start for name, state in task.states.items()}
    changes = {name: [(begin, value)] for name, value in now.items()}
    for each in entries:
        match each.value:
            case StepConfirmed(sets=sets) | StepLeft(sets=sets) | StepDeferred(sets=sets):
                changed = sets
            case WentBack(states=changed):
                pass
            case _:
                continue
        for name, value in changed:
            if name in changes:
                changes[name].append((each.offset, value))
    return [
        Lane(task.states[name].called, "state", tuple(_lasting(at, end)))
        for name, at in changes.items()
    ]


def _lasting(at: Sequence[tuple[timedelta, str]], end: timedelta) -> Iterator[Span]:
    values = list(dict.fromkeys(value for _, value in at))
    for begins, ends, value in _runs([(when, values.index(value)) for when, value in at], end):
        yield Span(begins, ends, values[value], shade=value % 4)
