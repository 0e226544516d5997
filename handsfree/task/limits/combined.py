"""Limits of what this reading and earlier ones make together: a play, a total, an even torque.

It is what they make that is judged: where a pressure drops too far, the drop is above its maximum.
Counts are readings too: pins out against pins in is their difference, with min and max 0.
"""

from collections.abc import Sequence
from dataclasses import dataclass
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

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether something can be below, and above."""
        return self.min is not None, self.max is not None

    def bounds(self, readings: Readings) -> Bounds:
        """What this reading may be beside the others; raises NoLimits where nothing fits."""
        others = tuple(Fraction(earlier_reading(readings, step)) for step in self.earlier)
        low, high = exact(self.min), exact(self.max)
        if self.of.spread is not None:
            assert high is not None
            return _even(others, Together("spread", others, low, high))
        if self.of.sum is not None:
            together = Together("sum", others, low, high)
            total = sum(others, Fraction(0))
            return Bounds(_moved(low, -total), _moved(high, -total), together)
        (other,) = others
        if self.of.terms[0] == THIS:
            together = Together("difference", others, low, high)
            return Bounds(_moved(low, other), _moved(high, other), together)
        together = Together("difference", others, low, high, this_less=False)
        lowest, highest = (None if each is None else other - each for each in (high, low))
        return Bounds(lowest, highest, together)


@dataclass(frozen=True, slots=True)
class Together:
    """A reading and earlier ones, put together; see `bounds.Combined`."""

    called: str
    others: tuple[Fraction, ...]
    lowest: Fraction | None
    highest: Fraction | None
    this_less: bool = True  # of a difference: the other is taken from this reading

    def of(self, value: Fraction) -> Fraction:
        """What they make where this reading is `value`."""
        if self.called == "spread":
            return max(value, *self.others) - min(value, *self.others)
        if self.called == "sum":
            return value + sum(self.others, Fraction(0))
        return value - self.others[0] if self.this_less else self.others[0] - value


def _moved(bound: Fraction | None, by: Fraction) -> Fraction | None:
    return None if bound is None else bound + by


def _even(others: Sequence[Fraction], together: Together) -> Bounds:
    lowest, highest, most = min(others), max(others), together.highest
    assert most is not None
    if highest - lowest > most:
        raise NoLimits("the earlier readings are already too far apart")
    return Bounds(highest - most, lowest + most, together)
