"""Limits as a reviewer checks them: the rule in words, and numbers worked out at sample readings.

A new kind of limits: register a rule on `rule_of`, and what it is sampled over on `samples_of`. A
kind that nobody registered is shown by its keys, and worked out over the steps that its `earlier`
names, so that nothing is hidden.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import singledispatch

from handsfree.review.plain import by_keys
from handsfree.task.file_model import FileModel
from handsfree.task.limits import Bounds, FixedLimits, TableLimits
from handsfree.task.model import ReadingExpected
from handsfree.visible import visible


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier step that takes a reading."""

    number: int  # of the step, from 1
    expected: ReadingExpected


Steps = Mapping[str, Earlier]  # by id
Sample = Mapping[str, Decimal]  # values of earlier readings, by the id of their step


@dataclass(frozen=True, slots=True)
class WorkedRow:
    """The limits at one value of another reading, or at one of each where there are several."""

    at: str  # with its unit
    allowed: str  # with its unit


@dataclass(frozen=True, slots=True)
class Worked:
    """The limits of one reading."""

    rule: str
    rows: tuple[WorkedRow, ...] = ()  # empty where the limits are the same at any moment


def worked(limits: FileModel, expected: ReadingExpected, earlier: Steps) -> Worked:
    """The limits of `expected`, worked out where readings of `earlier` steps count."""
    rows = (_row(limits, expected, sample, earlier) for sample in samples_of(limits, earlier))
    return Worked(visible(rule_of(limits, expected, earlier)), tuple(dict.fromkeys(rows)))


@singledispatch
def rule_of(limits: FileModel, expected: ReadingExpected, earlier: Steps) -> str:  # noqa: ARG001
    """The rule in words."""
    return by_keys(limits)


@rule_of.register
def _(limits: FixedLimits, expected: ReadingExpected, earlier: Steps) -> str:  # noqa: ARG001
    return _between(limits.min, limits.max, expected.unit)


@rule_of.register
def _(limits: TableLimits, expected: ReadingExpected, earlier: Steps) -> str:  # noqa: ARG001
    other = earlier[limits.over]
    return (
        f"by the {other.expected.reading} of step {other.number}, linear between table rows from "
        + with_unit(f"{limits.first:f} to {limits.last:f}", other.expected.unit)
    )


@singledispatch
def samples_of(limits: FileModel, earlier: Steps) -> tuple[Sample, ...]:
    """Where to work the limits out: the lowest, middle and highest of what each reading may be.

    Empty where no earlier reading counts, or one of them has no end.
    """
    over = [each for each in getattr(limits, "earlier", ()) if each in earlier]
    ranges = {each: _range(earlier[each].expected) for each in over}
    if not over or None in ranges.values():
        return ()
    by_step = {each: values for each, values in ranges.items() if values is not None}
    return tuple({each: values[at] for each, values in by_step.items()} for at in range(3))


@samples_of.register
def _(limits: TableLimits, earlier: Steps) -> tuple[Sample, ...]:
    other = earlier[limits.over].expected
    low, high = limits.first, limits.last
    if isinstance(other.limits, FixedLimits):
        low = low if other.limits.min is None else max(low, other.limits.min)
        high = high if other.limits.max is None else min(high, other.limits.max)
    return tuple({limits.over: at} for at in _three(low, high, other.resolution))


def _range(expected: ReadingExpected) -> tuple[Decimal, ...] | None:
    limits = expected.limits
    if not isinstance(limits, FixedLimits) or limits.min is None or limits.max is None:
        return None
    return _three(limits.min, limits.max, expected.resolution)


def _three(low: Decimal, high: Decimal, resolution: Decimal) -> tuple[Decimal, ...]:
    # The middle is a value that the other scale can show, so that a person can check it there.
    return low, low + (high - low) / 2 // resolution * resolution, high


def _row(limits: FileModel, expected: ReadingExpected, sample: Sample, earlier: Steps) -> WorkedRow:
    at = ", ".join(
        with_unit(f"{value:f}", earlier[step].expected.unit)
        + (f" in step {earlier[step].number}" if len(sample) > 1 else "")
        for step, value in sample.items()
    )
    bounds: Callable[[Sample], Bounds] = limits.bounds  # type: ignore[attr-defined] # every kind
    try:
        return WorkedRow(at, _on_scale(bounds(sample), expected))
    except ValueError as error:  # how limits say that at this reading there are none
        return WorkedRow(at, visible(f"none: {error}"))


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
