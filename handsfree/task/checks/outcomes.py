"""Outcomes of a reading that no value can have: what is written for them is never done.

The range of each earlier reading is that of its own fixed limits, for only a reading that is inside
lets the task come to a step that rests on it.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal

from handsfree.task.course import ABOVE, BELOW
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.combined import THIS
from handsfree.task.limits.forms import CombinedLimits, FixedLimits, OneLimit, fixed_part, parts_of
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Source

NEVER_BELOW_ZERO = frozenset(
    {"count", "resistance", "time", "torque", "force", "volume", "flow", "drop rate"}
)
"""Quantities whose gauges begin at zero. A pressure, a length or an angle may be less."""

_Range = tuple[Decimal | None, Decimal | None]  # None: without an end


def impossible_outcomes(task: Task, source: Source) -> Iterator[Problem]:
    """Each `below` or `above` in a `then` that no value of the reading can come to."""
    taken: dict[str, ReadingExpected] = {}
    for at, step in enumerate(task.steps):
        expected = step.expect
        if not isinstance(expected, ReadingExpected):
            continue
        below, above = _possible(expected, taken)
        for outcome, possible in ((BELOW, below), (ABOVE, above)):
            if outcome in step.then and expected.limits.sides[outcome == ABOVE] and not possible:
                yield source.problem(
                    ("steps", at, "then", outcome),
                    f"no value of step '{step.id}' can be '{outcome}', so what is written for it "
                    "is never done",
                    "Mend the limits, or leave it out",
                )
        taken[step.id] = expected


def _possible(expected: ReadingExpected, taken: Mapping[str, ReadingExpected]) -> tuple[bool, bool]:
    """Whether some value is below, and some above."""
    found = [_sides(each, expected, taken) for each in parts_of(expected.limits)]
    return any(below for below, _ in found), any(above for _, above in found)


def _sides(
    limits: OneLimit, expected: ReadingExpected, taken: Mapping[str, ReadingExpected]
) -> tuple[bool, bool]:
    if not isinstance(limits, FixedLimits | CombinedLimits):
        return limits.sides
    low, high = _range_judged(limits, expected, taken)
    return (
        limits.min is not None and (low is None or low < limits.min),
        limits.max is not None and (high is None or high > limits.max),
    )


def _range_judged(
    limits: FixedLimits | CombinedLimits,
    expected: ReadingExpected,
    taken: Mapping[str, ReadingExpected],
) -> _Range:
    """From where to where that which is judged can be, whatever is read."""
    this: _Range = (Decimal(0) if expected.reading in NEVER_BELOW_ZERO else None, None)
    if isinstance(limits, FixedLimits):
        return this
    ranges = {THIS: this, **{step: _range_of(taken.get(step)) for step in limits.earlier}}
    lows, highs = zip(*(ranges[term] for term in limits.of.terms), strict=True)
    if limits.of.spread is not None:
        return Decimal(0), None
    if limits.of.sum is not None:
        return _sum(lows), _sum(highs)
    return _less(lows[0], highs[1]), _less(highs[0], lows[1])


def _range_of(earlier: ReadingExpected | None) -> _Range:
    if earlier is None:
        return None, None
    fixed = fixed_part(earlier.limits)
    low, high = (None, None) if fixed is None else (fixed.min, fixed.max)
    if low is None and earlier.reading in NEVER_BELOW_ZERO:
        low = Decimal(0)
    return low, high


def _sum(ends: tuple[Decimal | None, ...]) -> Decimal | None:
    known = [each for each in ends if each is not None]
    return sum(known, Decimal(0)) if len(known) == len(ends) else None


def _less(one: Decimal | None, other: Decimal | None) -> Decimal | None:
    return None if one is None or other is None else one - other
