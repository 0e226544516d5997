"""The run along its running time: who spoke when, which step was open, and where each state stood.

Running time stands still while no program runs; where it was killed or ended, a mark tells so.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

from handsfree.engine.effects import Say
from handsfree.engine.events import Spoken
from handsfree.engine.phase import Phase
from handsfree.record.entries import LoggedEntry
from handsfree.record.replay import Turn
from handsfree.record.speakers import Utterer
from handsfree.task.model import Task
from handsfree.words.heard import Heard


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
    kind: str  # "steps", "voice", "tool", "wait" or "state"
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """All lanes over the same time."""

    length: timedelta
    lanes: tuple[Lane, ...]


def timeline(
    task: Task,
    turns: Sequence[Turn],
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
) -> Timeline:
    """The lanes from top to bottom: steps, people, the tool, waiting, and the watched states."""
    length = max((each.offset for each in entries), default=timedelta(0))
    lanes = (
        Lane("step", "steps", _steps(task, turns, length)),
        *_people(entries, said_by),
        Lane("tool", "tool", _tool(entries)),
        Lane("standing by", "wait", _waits(turns, length)),
        *_states(task, turns, length),
    )
    return Timeline(length, tuple(lane for lane in lanes if lane.spans))


def _steps(task: Task, turns: Sequence[Turn], length: timedelta) -> tuple[Span, ...]:
    at = [
        (turn.event.offset, turn.state.step)
        for turn in turns
        if turn.state.phase is not Phase.READY
    ]
    return tuple(
        Span(begin, end, f"{step + 1}. {task.steps[step].id}", shade=step % 2)
        for begin, end, step in _runs(at, length)
        if step < len(task.steps)
    )


def _runs(
    at: Sequence[tuple[timedelta, int]], length: timedelta
) -> list[tuple[timedelta, timedelta, int]]:
    """From when until when each value lasted, where it stays the same for a while."""
    begins = [(next(group)[0], value) for value, group in groupby(at, key=lambda each: each[1])]
    ends = [*(begin for begin, _ in begins[1:]), length]
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


def _waits(turns: Sequence[Turn], length: timedelta) -> tuple[Span, ...]:
    at = [(turn.event.offset, int(turn.state.phase is Phase.STANDING_BY)) for turn in turns]
    return tuple(
        Span(begin, end, "standing by") for begin, end, waits in _runs(at, length) if waits
    )


def _states(task: Task, turns: Sequence[Turn], length: timedelta) -> list[Lane]:
    lanes = []
    for name, state in task.states.items():
        values = list(dict.fromkeys(("unknown", *state.values)))
        at = [
            (turn.event.offset, values.index(value))
            for turn in turns
            for value in [dict(turn.state.states).get(name, "unknown")]
            if value in values
        ]
        spans = tuple(
            Span(begin, end, values[value], shade=value) for begin, end, value in _runs(at, length)
        )
        lanes.append(Lane(state.called, "state", spans))
    return lanes
