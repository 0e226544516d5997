"""Every position that a run can reach, in the order of how far it is, and the shortest way to it.

A whole task has far too many positions: each state that may be left open doubles them. But no
question asks about all states at once. What decides where a run goes next are the outcomes, which
are open at every step, and the states that a step's `applies` names; all other states are only
written, with values that do not depend on anything. So a question about some states is answered
exactly by a walk that carries only those and the ones in `applies`, and knows of no others: its
cone of influence. A walk then grows with the steps times the values of the few states in its cone.
"""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import product
from math import prod

from handsfree.task.conditions import holds
from handsfree.task.course import Position, Way, beginning, move, ways
from handsfree.task.model import Task

MOST_POSITIONS = 1_000_000
"""In all walks of a task together: some half a minute, and at most some 600 MB."""

_CARRIED = 60  # values; a position that carries more counts for more than one

Watch = Callable[[int], None]
"""Called now and then with the number of positions found so far in this walk."""

_WATCH_EVERY = 1_000


class TooManyPositions(Exception):
    """A walk that was given up."""


@dataclass(frozen=True, slots=True)
class Cone:
    """What a walk carries along."""

    states: frozenset[str] = frozenset()
    counts: frozenset[str] = frozenset()
    answered: frozenset[str] = frozenset()

    def __or__(self, other: "Cone") -> "Cone":
        return Cone(
            self.states | other.states, self.counts | other.counts, self.answered | other.answered
        )

    def __le__(self, other: "Cone") -> bool:
        return self | other == other


@dataclass(frozen=True, slots=True)
class Leg:
    """One step of a way: where it was left, and how."""

    left: Position
    way: Way


@dataclass(slots=True)
class Walk:
    """What one walk found."""

    came_by: dict[Position, Leg | None] = field(default_factory=dict)  # in order of distance
    legs: list[tuple[Leg, Position]] = field(default_factory=list)  # in order of distance

    def way_to(self, position: Position) -> tuple[Leg, ...]:
        """The shortest way from a beginning to `position`."""
        found: list[Leg] = []
        while (leg := self.came_by[position]) is not None:
            found.append(leg)
            position = leg.left
        return tuple(reversed(found))


def steering_states(task: Task) -> frozenset[str]:
    """The states that decide which steps apply: part of every cone."""
    named = {name for step in task.steps for name in step.applies}
    return frozenset(named & task.states.keys())


def variants_that_matter(task: Task) -> dict[str, tuple[str, ...]]:
    """The variants that some step's `applies` names, each with the values that it tells apart.

    Of values that no step tells apart the first stands for all: the same steps apply to them.
    """
    found: dict[str, tuple[str, ...]] = {}
    for name, values in task.variants.items():
        conditions = [step.applies[name] for step in task.steps if name in step.applies]
        if conditions:
            first: dict[tuple[bool, ...], str] = {}
            for value in values:
                first.setdefault(tuple(holds(each, value) for each in conditions), value)
            found[name] = tuple(first.values())
    return found


def walk(task: Task, cone: Cone, watch: Watch, most: int = MOST_POSITIONS) -> Walk:
    """Find every position, breadth first, with only the states of `cone`.

    Raises TooManyPositions where there are more than `most`, or fewer where each carries very much:
    before it begins, where the variants alone make as many.
    """
    variants = variants_that_matter(task)
    carried = len(cone.states) + len(cone.counts) + len(cone.answered) + len(variants)
    most = most * _CARRIED // max(carried, _CARRIED)
    if prod(map(len, variants.values())) > most:
        raise TooManyPositions
    found = Walk()
    ways_out = [ways(step) for step in task.steps]
    waiting: deque[Position] = deque()
    for values in product(*variants.values()):
        start = _within(beginning(task, dict(zip(variants, values, strict=True))), cone)
        found.came_by.setdefault(start, None)
    waiting.extend(found.came_by)
    while waiting:
        position = waiting.popleft()
        if position.step == len(task.steps):
            continue
        for way in ways_out[position.step]:
            leg = Leg(position, way)
            reached = _without_impossible_counts(task, position, move(task, position, way))
            found.legs.append((leg, reached))
            if reached in found.came_by:
                continue
            if len(found.came_by) >= most:
                raise TooManyPositions
            found.came_by[reached] = leg
            waiting.append(reached)
            if len(found.came_by) % _WATCH_EVERY == 0:
                watch(len(found.came_by))
    return found


def _within(position: Position, cone: Cone) -> Position:
    return replace(
        position,
        states=tuple(each for each in position.states if each[0] in cone.states),
        counts=tuple(each for each in position.counts if each[0] in cone.counts),
        answered=tuple(each for each in position.answered if each[0] in cone.answered),
    )


def _without_impossible_counts(task: Task, left: Position, reached: Position) -> Position:
    """A count that has left its range stays where it is, by one beyond: it cannot go on for ever.

    It is wrong from there on, whatever is counted later.
    """
    if not reached.counts:
        return reached
    counts = tuple(
        (
            name,
            before
            if not 0 <= before <= (total := task.counted[name].total)
            else min(max(out, -1), total + 1),
        )
        for (name, before), (_, out) in zip(left.counts, reached.counts, strict=True)
    )
    return replace(reached, counts=counts)
