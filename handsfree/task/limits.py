"""Limits of a reading, and whether a value lies inside them.

A value at the limit is inside. Values are compared exactly: nothing is rounded first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import Enum
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Self

from pydantic import Discriminator, Field, Tag, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong


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
        exact = Fraction(value)
        if self.lowest is not None and exact < self.lowest:
            return Verdict.BELOW
        if self.highest is not None and exact > self.highest:
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


class FixedLimits(FileModel):
    """`min`, `max` or both."""

    min: Decimal | None = None
    max: Decimal | None = None

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.min is None and self.max is None:
            raise wrong("limits without a limit", "Write min, max or both")
        _refuse_crossed(self.min, self.max)
        return self

    def bounds(self, readings: Mapping[str, Decimal]) -> Bounds:  # noqa: ARG002 one shape for both
        """The same at any moment."""
        return Bounds(_exact(self.min), _exact(self.max))


class TableRow(FileModel):
    """The limits at one value of the other reading."""

    at: Decimal
    min: Decimal | None = None
    max: Decimal | None = None

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.min is None and self.max is None:
            raise wrong("a table row without a limit", "Write min, max or both")
        _refuse_crossed(self.min, self.max)
        return self


class TableLimits(FileModel):
    """Limits over an earlier reading, linear between rows, none outside the table."""

    over: Identifier  # the step that takes the other reading
    table: Annotated[tuple[TableRow, ...], Field(min_length=2)]

    @model_validator(mode="after")
    def _rising(self) -> Self:
        for before, after in pairwise(self.table):
            if after.at <= before.at:
                raise wrong(
                    f"table rows out of order: {after.at} follows {before.at}",
                    "Write the rows with rising values of 'at'",
                )
        for bound in ("min", "max"):
            given = [getattr(row, bound) is not None for row in self.table]
            if any(given) and not all(given):
                raise wrong(
                    f"only some table rows have '{bound}'", "Give it in all rows or in none"
                )
        return self

    @property
    def first(self) -> Decimal:
        """The lowest value of the other reading that the table covers."""
        return self.table[0].at

    @property
    def last(self) -> Decimal:
        """The highest value of the other reading that the table covers."""
        return self.table[-1].at

    def bounds(self, readings: Mapping[str, Decimal]) -> Bounds:
        """Limits at the earlier reading, by step; raises ValueError outside the table."""
        at = readings[self.over]
        for low, high in pairwise(self.table):
            if low.at <= at <= high.at:
                share = Fraction(at - low.at) / Fraction(high.at - low.at)
                return Bounds(
                    _between(low.min, high.min, share), _between(low.max, high.max, share)
                )
        raise ValueError(f"{at} is outside the table, {self.first} to {self.last}")


def _exact(bound: Decimal | None) -> Fraction | None:
    return None if bound is None else Fraction(bound)


def _between(low: Decimal | None, high: Decimal | None, share: Fraction) -> Fraction | None:
    if low is None or high is None:
        return None
    return Fraction(low) + (Fraction(high) - Fraction(low)) * share


def _refuse_crossed(low: Decimal | None, high: Decimal | None) -> None:
    if low is not None and high is not None and low > high:
        raise wrong(f"the limits cross: min {low} is above max {high}", "Exchange or mend them")


def _kind(value: object) -> str:
    over_a_table = isinstance(value, TableLimits) or (
        isinstance(value, dict) and bool({"over", "table"} & value.keys())
    )
    return "table limits" if over_a_table else "fixed limits"


Limits = Annotated[
    Annotated[FixedLimits, Tag("fixed limits")] | Annotated[TableLimits, Tag("table limits")],
    Discriminator(_kind),
]
