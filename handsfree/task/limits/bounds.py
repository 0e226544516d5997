"""The limits in force at one moment, and where a value lies.

A value at the limit is inside. Values are compared exactly: nothing is rounded first.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import Enum
from fractions import Fraction
from typing import Annotated, Protocol

from pydantic import Field
from pydantic_core import PydanticCustomError

from handsfree.task.file_model import wrong

Readings = Mapping[str, Decimal]
"""Readings taken earlier, by the step that took them, each in the unit of its step."""

# More figures than any gauge has; and a number such as 1e999999999 never reaches exact arithmetic.
Bound = Annotated[Decimal, Field(max_digits=18)]


class Verdict(Enum):
    """Where a value lies."""

    INSIDE = "inside limits"
    BELOW = "below minimum"
    ABOVE = "above maximum"


class Combined(Protocol):
    """What is judged in place of a reading: what it makes together with earlier ones."""

    @property
    def called(self) -> str:
        """What it is, such as "difference"."""

    @property
    def lowest(self) -> Fraction | None:
        """Its lowest value that is inside."""

    @property
    def highest(self) -> Fraction | None:
        """Its highest value that is inside."""

    def of(self, value: Fraction) -> Fraction:
        """What it is where the reading is `value`."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """The limits in force at one moment, exact."""

    lowest: Fraction | None  # of the reading
    highest: Fraction | None
    # Where it is not the reading that is judged. Below and above are then said of what is: a
    # reading that is too low can make a drop that is too large.
    combined: Combined | None = field(default=None, compare=False)
    # Where several limits hold together, each of them; the first that is not kept decides.
    each: tuple["Bounds", ...] = field(default=(), compare=False)

    def verdict(self, value: Decimal | Fraction) -> Verdict:
        """Compare exactly; a value at the limit is inside."""
        given = Fraction(value)
        if self.each:
            verdicts = (each.verdict(given) for each in self.each)
            return next((v for v in verdicts if v is not Verdict.INSIDE), Verdict.INSIDE)
        if self.combined is not None:
            given = self.combined.of(given)
            return _verdict(given, self.combined.lowest, self.combined.highest)
        return _verdict(given, self.lowest, self.highest)

    def deciding(self, value: Decimal | Fraction) -> "Bounds":
        """The one of several limits that decides on `value`; else these."""
        left = (each for each in self.each if each.verdict(value) is not Verdict.INSIDE)
        return next(left, self)

    def lowest_readable(self, resolution: Decimal) -> Decimal | None:
        """The lowest value on a gauge of this resolution that is inside, to be spoken."""
        return _on_scale(self.lowest, resolution, ROUND_CEILING)

    def highest_readable(self, resolution: Decimal) -> Decimal | None:
        """The highest value on a gauge of this resolution that is inside, to be spoken."""
        return _on_scale(self.highest, resolution, ROUND_FLOOR)


def _verdict(given: Fraction, lowest: Fraction | None, highest: Fraction | None) -> Verdict:
    if lowest is not None and given < lowest:
        return Verdict.BELOW
    return Verdict.ABOVE if highest is not None and given > highest else Verdict.INSIDE


def _on_scale(bound: Fraction | None, resolution: Decimal, rounding: str) -> Decimal | None:
    if bound is None:
        return None
    steps = bound / Fraction(resolution)
    whole = (
        -(-steps.numerator // steps.denominator)
        if rounding == ROUND_CEILING
        else (steps.numerator // steps.denominator)
    )
    return whole * resolution


class NoLimits(ValueError):
    """At these readings there are no limits, so no value is accepted. Says why, to be spoken."""


def earlier_reading(readings: Readings, step: str) -> Decimal:
    """What `step` read; raises NoLimits where it has not been taken."""
    if step not in readings:
        raise NoLimits(f"the reading of {step.replace('-', ' ')} is missing")
    return readings[step]


def exact(bound: Decimal | None) -> Fraction | None:
    """As an exact fraction, where there is a bound."""
    return None if bound is None else Fraction(bound)


def refuse_crossed(low: Decimal | None, high: Decimal | None) -> None:
    """Raise what `wrong` makes where the limits leave no value between them."""
    if low is not None and high is not None and low > high:
        raise crossed(low, high)


def crossed(low: object, high: object) -> PydanticCustomError:
    """The error of limits that leave no value between them."""
    return wrong(f"the limits cross: min {low} is above max {high}", "Exchange or mend them")


def refuse_unlimited(low: object, high: object, what: str) -> None:
    """Raise what `wrong` makes of `what` where there is neither limit."""
    if low is None and high is None:
        raise wrong(what, "Write min, max or both")
