"""Limits that follow an earlier reading, such as a pressure over its temperature, as a picture."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from handsfree.engine.entries import ReadingTaken
from handsfree.record.passes import Pass
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import FixedLimits, Limits, NoLimits
from handsfree.task.model import Task

WIDTH, HEIGHT = 320, 140
"""Of the picture, in its own units."""

_POINTS = 33
_ROOM = Fraction(1, 8)  # of the height, above and below what is drawn
_Edge = tuple[Fraction, Fraction, Fraction]  # over, lowest, highest


@dataclass(frozen=True, slots=True)
class Curve:
    """One reading in its window, which is drawn over all values of the other."""

    step: str
    quantity: str
    value: str  # with its unit
    over: str  # the other reading, with its unit
    band: str  # points of the polygon that is inside
    x: float  # of the reading
    y: float
    left: str  # the ends of both axes
    right: str
    top: str
    bottom: str


def curves(task: Task, passed: Iterable[Pass]) -> Iterator[Curve]:
    """One for each reading that holds and whose limits follow one earlier reading."""
    readings: dict[str, Decimal] = {}
    for each in passed:
        if each.holds and isinstance(taken := each.taken, ReadingTaken):
            if (found := _curve(task, taken, readings)) is not None:
                yield found
            readings[each.step] = taken.value


def _curve(task: Task, taken: ReadingTaken, readings: dict[str, Decimal]) -> Curve | None:
    own, limits = _expected(task, taken.step), None
    if own is not None and len(own.limits.earlier) == 1:
        limits = own.limits
    if own is None or limits is None:
        return None
    [over] = limits.earlier
    other = _expected(task, over)
    if other is None or over not in readings:
        return None
    at = Fraction(readings[over])
    edges = list(_edges(limits, over, _range_of(other, at)))
    if len(edges) < 2:
        return None
    value = Fraction(taken.value)
    low = min(value, *(lowest for _, lowest, _ in edges))
    high = max(value, *(highest for _, _, highest in edges))
    room = (high - low) * _ROOM
    low, high = low - room, high + room
    left, right = edges[0][0], edges[-1][0]
    if high == low or right == left:
        return None

    def point(across: Fraction, up: Fraction) -> tuple[float, float]:
        return (
            float((across - left) / (right - left) * WIDTH),
            float((high - up) / (high - low) * HEIGHT),
        )

    corners = [point(x, highest) for x, _, highest in edges]
    corners += [point(x, lowest) for x, lowest, _ in reversed(edges)]
    x, y = point(at, value)
    return Curve(
        step=taken.step,
        quantity=own.reading,
        value=f"{taken.value:f} {taken.unit}",
        over=f"{other.reading} {readings[over]:f} {other.unit}",
        band=" ".join(f"{x:.1f},{y:.1f}" for x, y in corners),
        x=x,
        y=y,
        left=f"{float(left):g} {other.unit}",
        right=f"{float(right):g} {other.unit}",
        top=f"{float(high):.0f} {own.unit}",
        bottom=f"{float(low):.0f} {own.unit}",
    )


def _edges(limits: Limits, over: str, between: tuple[Fraction, Fraction]) -> Iterator[_Edge]:
    """The limits at so many values of the other reading; none where there are none."""
    left, right = between
    for number in range(_POINTS):
        at = left + (right - left) * number / (_POINTS - 1)
        try:
            bounds = limits.bounds({over: Decimal(at.numerator) / Decimal(at.denominator)})
        except NoLimits:
            continue
        if bounds.lowest is not None and bounds.highest is not None:
            yield at, bounds.lowest, bounds.highest


def _range_of(other: ReadingExpected, at: Fraction) -> tuple[Fraction, Fraction]:
    """From where to where the other reading is drawn: all that its own limits let it be."""
    own = other.limits
    if isinstance(own, FixedLimits) and own.min is not None and own.max is not None:
        return min(Fraction(own.min), at), max(Fraction(own.max), at)
    around = max(abs(at) / 2, Fraction(other.resolution) * 10)
    return at - around, at + around


def _expected(task: Task, step: str) -> ReadingExpected | None:
    at = task.index_of.get(step)
    expected = None if at is None else task.steps[at].expect
    return expected if isinstance(expected, ReadingExpected) else None
