"""The limits in force at one moment, and where a value lies.

A value at the limit is inside. Values are compared exactly: nothing is rounded first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import Enum
from fractions import Fraction
from typing import Annotated

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


@dataclass(frozen=True, slots=True)
class Bounds:
    """The limits in force at one moment, exact."""

    lowest: Fraction | None
    highest: Fraction | None

    def verdict(self, value: Decimal | Fraction) -> Verdict:
        """Compare exactly; a value at the limit is inside."""
        given = Fraction(value)
        if self.lowest is not None and given < self.lowest:
            return Verdict.BELOW
        if self.highest is not None and given > self.highest:
            return Verdict.ABOVE
        return Verdict.INSIDE

    def lowest_readable(self, resolution: Decimal) -> Decimal | None:
        """The lowest value on a gauge of this resolution that is inside, to be spoken."""
        return _on_scale(self.lowest, resolution, ROUND_CEILING)

    def highest_readable(self, resolution: Decimal) -> Decimal | None:
        """The highest value on a gauge of this resolution that is inside, to be spoken."""
        return _on_scale(self.highest, resolution, ROUND_FLOOR)


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
