"""Limits as a reviewer checks them: the rule in words, and numbers worked out at sample readings.

New kinds of limits: register one more function on `worked`. A kind that nobody registered is shown
by its keys, so that nothing is hidden.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import singledispatch

from handsfree.task.file_model import FileModel
from handsfree.task.limits import Bounds, FixedLimits, TableLimits
from handsfree.task.model import ReadingExpected


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier step that takes a reading."""

    number: int  # of the step, from 1
    expected: ReadingExpected


@dataclass(frozen=True, slots=True)
class WorkedRow:
    """The limits at one value of another reading."""

    at: str  # with its unit
    allowed: str  # with its unit


@dataclass(frozen=True, slots=True)
class Worked:
    """The limits of one reading."""

    rule: str
    rows: tuple[WorkedRow, ...] = ()  # empty where the limits are the same at any moment


@singledispatch
def worked(
    limits: FileModel,
    expected: ReadingExpected,  # noqa: ARG001 one shape for all kinds
    earlier: Mapping[str, Earlier],  # noqa: ARG001
) -> Worked:
    """The rule of `limits` for `expected`, worked out over the `earlier` readings, by step id."""
    return Worked(by_keys(limits))


@worked.register
def _(limits: FixedLimits, expected: ReadingExpected, earlier: Mapping[str, Earlier]) -> Worked:  # noqa: ARG001
    return Worked(_between(limits.min, limits.max, expected.unit))


@worked.register
def _(limits: TableLimits, expected: ReadingExpected, earlier: Mapping[str, Earlier]) -> Worked:
    other = earlier[limits.over]
    unit = other.expected.unit
    rows = tuple(
        WorkedRow(with_unit(f"{at:f}", unit), _on_scale(limits.bounds({limits.over: at}), expected))
        for at in _samples(limits, other.expected)
    )
    return Worked(
        f"by the {other.expected.reading} of step {other.number}, linear between table rows "
        f"from {with_unit(f'{limits.first:f} to {limits.last:f}', unit)}",
        rows,
    )


def by_keys(part: FileModel) -> str:
    """Any part of a task file in one line, by its keys."""
    given = part.model_dump(exclude_none=True, exclude_defaults=True)
    return ", ".join(f"{key} {_plain(value)}" for key, value in given.items())


def _plain(value: object) -> str:
    match value:
        case dict():
            return "(" + ", ".join(f"{key} {_plain(each)}" for key, each in value.items()) + ")"
        case list() | tuple():
            return "; ".join(map(_plain, value))
        case Decimal():
            return f"{value:f}"
    return str(value)


def _samples(limits: TableLimits, other: ReadingExpected) -> tuple[Decimal, ...]:
    """Lowest, middle and highest of what the other reading may be, else of the table."""
    low, high = limits.first, limits.last
    if isinstance(other.limits, FixedLimits):
        low = low if other.limits.min is None else max(low, other.limits.min)
        high = high if other.limits.max is None else min(high, other.limits.max)
    # The middle is a value that the other scale can show, so that a person can check it there.
    middle = low + (high - low) / 2 // other.resolution * other.resolution
    return tuple(dict.fromkeys((low, middle, high)))


def _on_scale(bounds: Bounds, expected: ReadingExpected) -> str:
    low = bounds.lowest_readable(expected.resolution)
    high = bounds.highest_readable(expected.resolution)
    if low is not None and high is not None and low > high:
        return "no reading on this scale"
    return _between(low, high, expected.unit)


def _between(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    if low is None:
        return f"at most {with_unit(f'{high:f}', unit)}"
    if high is None:
        return f"at least {with_unit(f'{low:f}', unit)}"
    return with_unit(f"exactly {low:f}" if low == high else f"{low:f} to {high:f}", unit)


def with_unit(figures: str, unit: str) -> str:
    """A count has a unit only in the file."""
    return figures if unit == "each" else f"{figures} {unit}"
