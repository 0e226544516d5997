"""A lane for each state: what it can be once each step has been left, on any way through the task.

The ways are those that `check` proves (`task/explore.py`), so that a lane shows rework, deferral
and steps that are passed over as they will happen, not as the file lists the steps.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.task.conditions import UNKNOWN, describe, holds
from handsfree.task.course import ways
from handsfree.task.model import Task
from handsfree.task.proof.explore import Cone, steering_states, walk
from handsfree.task.states import DeviceState


@dataclass(frozen=True, slots=True)
class Lane:
    """One state over the steps. More than one value: it depends on the way there."""

    called: str
    start: str
    must_end: str  # in words
    ends: tuple[str, ...]  # the values that it may have at the end
    values: tuple[str, ...]  # all that it can be; "unknown" among them where it starts so
    before: tuple[tuple[str, ...], ...]  # when each step is begun; the first is step 1
    after: tuple[tuple[str, ...], ...]  # when each step has been left; empty where none can be
    set_to: tuple[tuple[str, ...], ...]  # what each step sets it to, whatever it was

    def above(self, number: int) -> tuple[str, ...]:
        """What stands in the row above that of a step, which need not be where it is begun from."""
        return (self.start,) if number == 1 else self.after[number - 2]

    def joins_above(self, number: int) -> bool:
        """Whether a step can be begun with what the row above it shows."""
        return not set(self.above(number)).isdisjoint(self.before[number - 1])

    def changes_at(self, number: int) -> bool:
        """Whether a step, from 1, brings a value that was not there when it was begun."""
        return bool(self.set_to[number - 1]) and (self.before[number - 1] != self.after[number - 1])

    def confirms_at(self, number: int) -> bool:
        """Whether a step sets the value that is there already."""
        return bool(self.set_to[number - 1]) and not self.changes_at(number)


def lanes_of(task: Task) -> tuple[Lane, ...]:
    """Every state of `task`, in the order of the file."""
    return tuple(_lane(name, state, task) for name, state in task.states.items())


def _lane(name: str, state: DeviceState, task: Task) -> Lane:
    values = (*state.values, UNKNOWN) if state.start == UNKNOWN else state.values
    before: list[set[str]] = [set() for _ in task.steps]
    after: list[set[str]] = [set() for _ in task.steps]
    found = walk(task, Cone(frozenset({name}) | steering_states(task)), lambda _positions: None)
    for leg, reached in found.legs:
        before[leg.left.step].add(dict(leg.left.states)[name])
        after[leg.left.step].add(dict(reached.states)[name])

    def ordered(found: Iterable[set[str]]) -> tuple[tuple[str, ...], ...]:
        return tuple(tuple(value for value in values if value in each) for each in found)

    return Lane(
        called=state.called,
        start=state.start,
        must_end=describe(state.end),
        ends=tuple(value for value in state.values if holds(state.end, value)),
        values=values,
        before=ordered(before),
        after=ordered(after),
        set_to=ordered({way.sets[name] for way in ways(s) if name in way.sets} for s in task.steps),
    )
