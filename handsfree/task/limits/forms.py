"""Limits of a reading: fixed, over a table, or computed.

Every kind has `earlier`, the steps whose readings it needs, `sides`, where something can be
outside, and `bounds`, the limits at given readings. What is wrong with a file is found when it is
read; what only a run can show raises NoLimits, and then no value is accepted.
"""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Self

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong
from handsfree.task.limits.bounds import (
    Bound,
    Bounds,
    NoLimits,
    Readings,
    Verdict,
    earlier_reading,
    exact,
    refuse_crossed,
    refuse_unlimited,
)
from handsfree.task.limits.combined import CombinedLimits
from handsfree.task.limits.drop import DropLimits
from handsfree.task.limits.gas_bottle import GasLimits
from handsfree.task.limits.torque import TorqueLimits

__all__ = [
    "Bounds",
    "CombinedLimits",
    "DropLimits",
    "FixedLimits",
    "GasLimits",
    "Limits",
    "NoLimits",
    "SeveralLimits",
    "TableLimits",
    "TorqueLimits",
    "Verdict",
    "fixed_part",
    "parts_of",
    "worked",
]


class FixedLimits(FileModel):
    """`min`, `max` or both."""

    min: Bound | None = None
    """The lowest value that is inside, in the unit of the reading."""
    max: Bound | None = None
    """The highest value that is inside, in the unit of the reading."""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        refuse_unlimited(self.min, self.max, "limits without a limit")
        refuse_crossed(self.min, self.max)
        return self

    @property
    def earlier(self) -> tuple[str, ...]:
        """No step: these limits are the same at any moment."""
        return ()

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether a value can be below, and above."""
        return self.min is not None, self.max is not None

    def bounds(self, readings: Readings) -> Bounds:  # noqa: ARG002 one shape for all
        """The limits, whatever has been read before."""
        return Bounds(exact(self.min), exact(self.max))


MOST_TOGETHER = 4
MOST_ROWS = 200  # more than any table in a manual


class TableRow(FileModel):
    """The limits at one value of the other reading."""

    at: Bound
    """The value of the other reading, in its unit."""
    min: Bound | None = None
    """The lowest value that is inside, in the unit of the reading."""
    max: Bound | None = None
    """The highest value that is inside, in the unit of the reading."""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        refuse_unlimited(self.min, self.max, "a table row without a limit")
        refuse_crossed(self.min, self.max)
        return self


class TableLimits(FileModel):
    """Limits over an earlier reading, linear between rows, none outside the table."""

    over: Identifier
    """The earlier step that takes the other reading."""
    table: Annotated[tuple[TableRow, ...], Field(min_length=2, max_length=MOST_ROWS)]
    """Rows with rising values of the other reading."""

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
    def earlier(self) -> tuple[str, ...]:
        """The step of the other reading."""
        return (self.over,)

    @property
    def first(self) -> Decimal:
        """The lowest value of the other reading that the table covers."""
        return self.table[0].at

    @property
    def last(self) -> Decimal:
        """The highest value of the other reading that the table covers."""
        return self.table[-1].at

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether a value can be below, and above."""
        return self.table[0].min is not None, self.table[0].max is not None

    def bounds(self, readings: Readings) -> Bounds:
        """Limits at the earlier reading, by step; raises NoLimits outside the table."""
        at = earlier_reading(readings, self.over)
        for low, high in pairwise(self.table):
            if low.at <= at <= high.at:
                share = Fraction(at - low.at) / Fraction(high.at - low.at)
                return Bounds(
                    _between(low.min, high.min, share), _between(low.max, high.max, share)
                )
        raise NoLimits(f"{at} is outside the table, {self.first} to {self.last}")


def _between(low: Decimal | None, high: Decimal | None, share: Fraction) -> Fraction | None:
    if low is None or high is None:
        return None
    return Fraction(low) + (Fraction(high) - Fraction(low)) * share


# The first kind that has one of its keys in the file is meant; a drop may have 'gas', and gas has
# 'over' as a table has.
_MARKS = (
    ("drop limits", DropLimits, {"drop_from"}),
    ("gas limits", GasLimits, {"gas", "fill"}),
    ("torque limits", TorqueLimits, {"torque", "wrench"}),
    ("combined limits", CombinedLimits, {"of"}),
    ("table limits", TableLimits, {"over", "table"}),
)


def _kind(value: object) -> str:
    for kind, model, keys in _MARKS:
        if isinstance(value, model) or (isinstance(value, dict) and keys & value.keys()):
            return kind
    return "fixed limits"


OneLimit = Annotated[
    Annotated[FixedLimits, Tag("fixed limits")]
    | Annotated[TableLimits, Tag("table limits")]
    | Annotated[GasLimits, Tag("gas limits")]
    | Annotated[TorqueLimits, Tag("torque limits")]
    | Annotated[CombinedLimits, Tag("combined limits")]
    | Annotated[DropLimits, Tag("drop limits")],
    Discriminator(_kind),
]


class SeveralLimits(FileModel):
    """Limits that hold together, written as a list, such as a pressure and its drop."""

    together: Annotated[tuple[OneLimit, ...], Field(min_length=2, max_length=MOST_TOGETHER)]
    """All of them; the first that a value does not keep decides."""

    @property
    def earlier(self) -> tuple[str, ...]:
        """The steps of the other readings of all of them."""
        return tuple(dict.fromkeys(step for each in self.together for step in each.earlier))

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether something can be below, and above."""
        below, above = zip(*(each.sides for each in self.together), strict=True)
        return any(below), any(above)

    def bounds(self, readings: Readings) -> Bounds:
        """What all of them leave; raises NoLimits where one of them does, or nothing is left."""
        each = tuple(limits.bounds(readings) for limits in self.together)
        lowest = max((one.lowest for one in each if one.lowest is not None), default=None)
        highest = min((one.highest for one in each if one.highest is not None), default=None)
        if lowest is not None and highest is not None and lowest > highest:
            raise NoLimits("the limits leave no value between them")
        return Bounds(lowest, highest, each=each)


def _several(value: object) -> object:
    return {"together": value} if isinstance(value, list | tuple) else value


def _one_or_several(value: object) -> str:
    several = isinstance(value, SeveralLimits | list | tuple)
    return "several limits" if several else _kind(value)


Limits = Annotated[
    Annotated[FixedLimits, Tag("fixed limits")]
    | Annotated[TableLimits, Tag("table limits")]
    | Annotated[GasLimits, Tag("gas limits")]
    | Annotated[TorqueLimits, Tag("torque limits")]
    | Annotated[CombinedLimits, Tag("combined limits")]
    | Annotated[DropLimits, Tag("drop limits")]
    | Annotated[
        SeveralLimits,
        BeforeValidator(_several, json_schema_input_type=tuple[OneLimit, ...]),
        Tag("several limits"),
    ],
    Discriminator(_one_or_several),
]


def parts_of(limits: Limits) -> tuple[OneLimit, ...]:
    """The limits one by one, where several hold together."""
    return limits.together if isinstance(limits, SeveralLimits) else (limits,)


def fixed_part(limits: Limits) -> FixedLimits | None:
    """What is fixed of the limits; None where nothing is."""
    return next((each for each in parts_of(limits) if isinstance(each, FixedLimits)), None)


def worked(limits: Limits, at: Readings) -> Bounds:
    """The limits as numbers, in the unit of their reading, at these earlier readings.

    `at` has a value for each step in `limits.earlier`, in the unit of that step. What a person
    reviews, such as the limits at three temperatures, is what a run would apply. Raises NoLimits.
    """
    return limits.bounds(at)
