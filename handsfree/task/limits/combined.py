"""Limits of what this reading and earlier ones make together: a play, a total, an even torque.

Counts are readings too: pins out against pins in is their difference, with min and max 0.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Self

from pydantic import Field, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong
from handsfree.task.limits.bounds import (
    Bound,
    Bounds,
    NoLimits,
    Readings,
    earlier_reading,
    exact,
    refuse_crossed,
    refuse_unlimited,
)

THIS = "this"  # stands for the reading that is limited

Terms = Annotated[tuple[Identifier, ...], Field(min_length=2)]


class Combination(FileModel):
    """One of the three; each names steps, and this reading once as `this`."""

    difference: Terms | None = None
    """The first less the second; `this` and the id of an earlier step."""
    sum: Terms | None = None
    """All of these together; `this` and ids of earlier steps."""
    spread: Terms | None = None
    """The highest less the lowest; `this` and ids of earlier steps."""

    @model_validator(mode="after")
    def _one_and_this_in_it(self) -> Self:
        given = [each for each in (self.difference, self.sum, self.spread) if each is not None]
        if len(given) != 1:
            raise wrong(
                f"{len(given)} ways to combine the readings",
                "Write one of difference, sum and spread",
            )
        if self.difference is not None and len(self.difference) != 2:
            raise wrong(
                f"a difference of {len(self.difference)} readings",
                "Write two; the second is taken from the first",
                "difference",
            )
        if self.terms.count(THIS) != 1:
            raise wrong(
                f"'{THIS}' is named {self.terms.count(THIS)} times",
                f"Write '{THIS}' once, for the reading of this step",
            )
        if len(set(self.terms)) < len(self.terms):
            raise wrong("a reading is named twice", "Name each reading once")
        return self

    @property
    def terms(self) -> tuple[str, ...]:
        """The readings in the order written, `this` among them."""
        return self.difference or self.sum or self.spread or ()


class CombinedLimits(FileModel):
    """Limits of a difference, a sum or a spread; all its readings have the unit of this one."""

    of: Combination
    """How the readings are put together."""
    min: Bound | None = None
    """The lowest value of the combination that is inside, in the unit of this reading."""
    max: Bound | None = None
    """The highest value of the combination that is inside, in the unit of this reading."""

    @model_validator(mode="after")
    def _limited(self) -> Self:
        refuse_unlimited(self.min, self.max, "limits without a limit")
        if self.of.spread is not None and (self.min is not None or (self.max or 0) < 0):
            raise wrong("a spread has only a highest value, 0 or more", "Write max alone")
        refuse_crossed(self.min, self.max)
        return self

    @property
    def earlier(self) -> tuple[str, ...]:
        """The steps of the other readings."""
        return tuple(each for each in self.of.terms if each != THIS)

    def bounds(self, readings: Readings) -> Bounds:
        """What this reading may be beside the others; raises NoLimits where nothing fits."""
        others = [Fraction(earlier_reading(readings, step)) for step in self.earlier]
        low, high = exact(self.min), exact(self.max)
        if self.of.spread is not None and high is not None:
            return _even(others, high)
        total = sum(others, Fraction(0))
        if self.of.difference is None:
            return Bounds(_moved(low, -total), _moved(high, -total))
        if self.of.terms[0] == THIS:
            return Bounds(_moved(low, total), _moved(high, total))
        return Bounds(None if high is None else total - high, None if low is None else total - low)


def _moved(bound: Fraction | None, by: Fraction) -> Fraction | None:
    return None if bound is None else bound + by


def _even(others: Sequence[Fraction], most: Fraction) -> Bounds:
    lowest, highest = min(others), max(others)
    if highest - lowest > most:
        raise NoLimits("the earlier readings are already too far apart")
    return Bounds(highest - most, lowest + most)
