"""Each reading that a step was left with, against its limits at that moment."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction

from handsfree.engine.entries import ReadingTaken
from handsfree.record.passes import Pass
from handsfree.record.summary import Summary
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Verdict

_ROOM = Fraction(1, 4)  # of the width of the limits, shown on each side of them


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, and where it lies in its picture: from 0 on the left to 100 on the right."""

    step: str
    entry: int
    quantity: str
    value: str
    unit: str
    limits: str
    margin: str  # to the nearer limit; "" where it is outside
    resolution: str
    attempts: int
    undone: bool
    inside: bool
    at: float | None  # None: there is one limit only, and no width to draw
    lowest_at: float
    highest_at: float
    by: str
    tried_at: tuple[float, ...] = ()  # where values lie that were said before and did not count


def readings(summary: Summary) -> tuple[Reading, ...]:
    """In the order in which the steps were gone through."""
    return tuple(
        found
        for each in summary.passes
        if isinstance(each.taken, ReadingTaken)
        for found in _reading(summary, each, each.taken)
    )


def _reading(summary: Summary, passed: Pass, taken: ReadingTaken) -> Iterator[Reading]:
    at = summary.task.index_of.get(passed.step)
    expected = None if at is None else summary.task.steps[at].expect
    if not isinstance(expected, ReadingExpected):
        return
    low = None if taken.lowest is None else Fraction(taken.lowest)
    high = None if taken.highest is None else Fraction(taken.highest)
    value = Fraction(taken.value)
    margins = [*([] if low is None else [value - low]), *([] if high is None else [high - value])]
    margin = min(margins, default=Fraction(0))
    # Rounded inward on the scale: a limit that is shown is never wider than the one that is held.
    lowest = "" if low is None else _figures(low, expected.resolution, ROUND_CEILING)
    highest = "" if high is None else _figures(high, expected.resolution, ROUND_FLOOR)
    yield Reading(
        step=passed.step,
        entry=passed.last_entry or passed.entry,
        quantity=expected.reading,
        value=f"{taken.value:f}",
        unit=taken.unit,
        limits=_limits(lowest, highest),
        margin="" if margin < 0 else _figures(margin, expected.resolution, ROUND_FLOOR),
        resolution=f"{expected.resolution:f}",
        attempts=passed.attempts,
        undone=passed.undone,
        inside=taken.verdict is Verdict.INSIDE,
        at=None if low is None or high is None or low == high else _place(value, low, high),
        lowest_at=_place(low, low, high) if low is not None and high not in (None, low) else 0,
        highest_at=_place(high, low, high) if high is not None and low not in (None, high) else 100,
        tried_at=()
        if low is None or high is None or low == high
        else tuple(
            _place(Fraction(other.value), low, high)
            for other in summary.readings
            if other.value
            and passed.entry <= other.entry <= passed.last_entry
            and other.step == passed.step
            and other.affirmed == "no"
            and other.undone == "no"
        ),
        by="" if passed.affirmed is None else str(passed.affirmed.speaker),
    )


def _place(value: Fraction, low: Fraction | None, high: Fraction | None) -> float:
    assert low is not None
    assert high is not None
    room = (high - low) * _ROOM
    share = (value - low + room) / (high - low + 2 * room)
    return float(min(max(share, Fraction(0)), Fraction(1)) * 100)


def _figures(value: Fraction, resolution: Decimal, rounding: str) -> str:
    steps = Decimal(value.numerator) / Decimal(value.denominator) / resolution
    return f"{steps.to_integral_value(rounding) * resolution:f}"


def _limits(lowest: str, highest: str) -> str:
    if not lowest:
        return f"at most {highest}"
    return f"at least {lowest}" if not highest else f"{lowest} to {highest}"
