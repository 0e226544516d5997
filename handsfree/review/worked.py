"""Limits as a reviewer checks them: the rule in words, and numbers worked out at sample readings.

A new kind of limits: register a rule on `rule_of`, and what it is sampled over on `samples_of`. A
kind that nobody registered is shown by its keys, and worked out over the steps that its `earlier`
names, so that nothing is hidden. What is worked out is `bounds`, which a run applies.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import singledispatch

from handsfree.review.plain import by_keys
from handsfree.task.expectations import ReadingExpected
from handsfree.task.file_model import FileModel
from handsfree.task.limits.forms import (
    Bounds,
    CombinedLimits,
    DropLimits,
    FixedLimits,
    GasLimits,
    NoLimits,
    SeveralLimits,
    TableLimits,
    TorqueLimits,
    fixed_part,
)
from handsfree.task.limits.measured import Measured
from handsfree.task.limits.torque import wrench_setting
from handsfree.visible import visible
from handsfree.words.units import conversion


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
    shown = _between(limits.min, limits.max, expected.unit)
    return "; ".join((shown, *_on_other_scales(limits.bounds({}), expected)))


@rule_of.register
def _(limits: TableLimits, expected: ReadingExpected, earlier: Steps) -> str:  # noqa: ARG001
    other = earlier[limits.over]
    return (
        f"by the {other.expected.reading} of step {other.number}, linear between table rows from "
        + with_unit(f"{limits.first:f} to {limits.last:f}", other.expected.unit)
    )


@rule_of.register
def _(limits: GasLimits, expected: ReadingExpected, earlier: Steps) -> str:  # noqa: ARG001
    unit, kind = limits.scale.split(" ")
    fill = limits.fill
    if fill.min is not None and fill.max is not None:
        charge = _from_to(fill.min, fill.max)
    else:
        charge = f"at most {fill.max}" if fill.min is None else f"at least {fill.min}"
    air = f"; air at {limits.ambient}" if kind == "gauge" else ""
    return (
        f"the pressure, in {unit} {kind}, that a charge of {limits.gas}, {charge} {kind} at "
        f"{fill.at}, has at the {_reading(limits.over, earlier)} "
        f"(real gas of constant density{air})"
    )


@rule_of.register
def _(limits: TorqueLimits, expected: ReadingExpected, earlier: Steps) -> str:
    torque, wrench = limits.torque, limits.wrench
    lowest = wrench.usable[0]
    used = ""
    if lowest > Fraction(wrench.min.value):
        used = f", used from {_rounded(lowest)} {wrench.max.unit}, which is 20 % of its scale"
    rule = [
        f"wrench setting for {_from_to(torque.min, torque.max)} at the fastener",
        f"wrench of {_from_to(wrench.min, wrench.max)}{used}",
    ]
    if limits.extension is not None and wrench.lever is not None:
        length, angle = limits.extension.length, limits.extension.angle
        share = wrench_setting(Fraction(1), wrench.lever.si, limits.extension.reach)
        rule.append(
            f"lever of {wrench.lever}, extension of {length} at {angle:f} degrees: the setting is "
            f"{_rounded(share)} of the torque"
        )
    if limits.prevailing is None:
        rule.append(f"set it to {_on_scales(limits.bounds({}), expected)}")
    else:
        # The torque that the wrench showed with the extension on is one of the wrench already.
        where = (
            "measured with the extension, is added to the setting"
            if limits.prevailing.with_extension
            else "measured without an extension, is added at the fastener"
        )
        rule.append(f"the {_reading(limits.prevailing.over, earlier)}, {where}")
    return "; ".join(rule)


@rule_of.register
def _(limits: CombinedLimits, expected: ReadingExpected, earlier: Steps) -> str:
    window = _between(limits.min, limits.max, expected.unit)
    others = [f"the {_reading(each, earlier)}" for each in limits.earlier]
    if limits.of.spread is not None:
        return f"this reading and {_and(others)} differ by {window}, the highest less the lowest"
    if limits.of.sum is not None:
        return f"this reading and {_and(others)} together: {window}"
    if limits.of.terms[0] in earlier:
        return f"{others[0]} less this reading: {window}"
    return f"this reading less {others[0]}: {window}"


@rule_of.register
def _(limits: DropLimits, expected: ReadingExpected, earlier: Steps) -> str:
    window = _between(limits.min, limits.max, expected.unit)
    before, now = (_reading(each, earlier) for each in limits.over)
    kind = limits.scale.partition(" ")[2]
    air = f", in air of {limits.ambient}" if kind == "gauge" else ""
    law = "A gas of constant volume, absolute pressure in proportion to absolute temperature"
    if limits.gas is not None:
        law = f"Real {limits.gas} of constant density"
    return (
        f"the {_reading(limits.drop_from, earlier)} less this reading, corrected from the {before} "
        f"to the {now}: {window}. {law}; the pressures are {kind}{air}"
    )


@rule_of.register
def _(limits: SeveralLimits, expected: ReadingExpected, earlier: Steps) -> str:
    return ", and ".join(rule_of(each, expected, earlier) for each in limits.together)


@singledispatch
def samples_of(limits: FileModel, earlier: Steps) -> tuple[Sample, ...]:
    """Where to work the limits out: the lowest, middle and highest of what each reading may be.

    Empty where no earlier reading counts, or one of them has no end.
    """
    over = [each for each in getattr(limits, "earlier", ()) if each in earlier]
    values = [_together(over, earlier, at) for at in range(3)] if over else []
    return tuple(sample for sample in values if sample is not None)


@samples_of.register
def _(limits: TableLimits, earlier: Steps) -> tuple[Sample, ...]:
    other = earlier[limits.over].expected
    low, high = limits.first, limits.last
    fixed = fixed_part(other.limits)
    if fixed is not None:
        low = low if fixed.min is None else max(low, fixed.min)
        high = high if fixed.max is None else min(high, fixed.max)
    return tuple({limits.over: at} for at in _three(low, high, other.resolution))


def _together(over: list[str], earlier: Steps, at: int) -> Sample | None:
    """The lowest (0), middle (1) or highest (2) values that the readings can have together."""
    found: dict[str, Decimal] = {}
    needed = _behind(over, earlier)
    # In the order of the file, so that each finds those that it rests on.
    for step in (each for each in earlier if each in needed):
        expected = earlier[step].expected
        try:
            bounds = expected.limits.bounds(found)
        except NoLimits:
            return None
        low = bounds.lowest_readable(expected.resolution)
        high = bounds.highest_readable(expected.resolution)
        if low is None or high is None or low > high:
            return None
        found[step] = _three(low, high, expected.resolution)[at]
    return {step: found[step] for step in over}


def _behind(over: list[str], earlier: Steps) -> set[str]:
    """These steps and all that their limits rest on."""
    found: set[str] = set()
    waiting = list(over)
    while waiting:
        step = waiting.pop()
        if step in earlier and step not in found:
            found.add(step)
            waiting += earlier[step].expected.limits.earlier
    return found


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
        return WorkedRow(at, _on_scales(bounds(sample), expected))
    except ValueError as error:  # how limits say that at this reading there are none
        return WorkedRow(at, visible(f"none: {error}"))


def _on_scales(bounds: Bounds, expected: ReadingExpected) -> str:
    own = _on_scale(bounds, expected.resolution, expected.unit)
    return "; ".join((own, *_on_other_scales(bounds, expected)))


def _on_other_scales(bounds: Bounds, expected: ReadingExpected) -> tuple[str, ...]:
    """The limits on each further scale of the gauge, converted exactly."""
    shown = []
    for scale in expected.other_scales:
        factor, offset = conversion(expected.unit, scale.unit)
        lowest, highest = (
            None if bound is None else bound * factor + offset
            for bound in (bounds.lowest, bounds.highest)
        )
        there = Bounds(lowest, highest)
        shown.append(f"or {_on_scale(there, scale.resolution, scale.unit)}")
    return tuple(shown)


def _on_scale(bounds: Bounds, resolution: Decimal, unit: str) -> str:
    low, high = bounds.lowest_readable(resolution), bounds.highest_readable(resolution)
    if low is not None and high is not None and low > high:
        return f"no reading on this scale in {unit}"
    return _between(low, high, unit)


def _between(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    if low is None:
        return f"at most {with_unit(f'{high:f}', unit)}"
    if high is None:
        return f"at least {with_unit(f'{low:f}', unit)}"
    return with_unit(f"exactly {low:f}" if low == high else f"{low:f} to {high:f}", unit)


def _reading(step: str, earlier: Steps) -> str:
    return f"{earlier[step].expected.reading} of step {earlier[step].number}"


def _from_to(low: Measured, high: Measured) -> str:
    if low.unit != high.unit:
        return f"{low} to {high}"
    return f"exactly {low}" if low == high else f"{low.value} to {high}"


def _and(parts: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(parts[:-1]), parts[-1])))


def _rounded(value: Fraction) -> str:
    """To four decimals at most, for a person; never compared."""
    return f"{Decimal(round(value * 10_000)) / 10_000:f}"


def with_unit(figures: str, unit: str) -> str:
    """A count has a unit only in the file."""
    return figures if unit == "each" else f"{figures} {unit}"
