"""By how much people are heard worse, or better, than the synthetic voices foretell.

Real people who read numbers, and synthetic voices that say the same numbers, were heard through the
same noises by `python -m tests.benchmarks.rehearsal_bias`, which prints `bias.toml`. The difference
of the two shares has a 95 % interval of its own, and what a rehearsal reports is widened by it: a
share of the synthetic voices says as much about people as that, and no more.

The interval of a difference is R. G. Newcombe's hybrid of the two single intervals ("Interval
estimation for the difference between independent proportions", Statistics in Medicine 17, 1998,
method 10, from memory), here of Clopper and Pearson's in place of Wilson's, so it is wider.
"""

import tomllib
from datetime import date
from functools import cache
from math import hypot
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

from handsfree.rehearse.intervals import Count, Interval

_MEASURED = Path(__file__).with_name("bias.toml")

Result = Literal["asked", "wrong"]


class Heard(BaseModel):
    """What came of so many sayings."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    of: int
    asked: int
    wrong: int

    def count(self, result: Result) -> Count:
        """One of the results."""
        return Count(getattr(self, result), self.of)


class AtRatio(BaseModel):
    """People and voices that said the same, in the same noises."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    snr_db: float
    people: Heard
    voices: Heard

    def difference(self, result: Result) -> Interval:
        """How much larger the share is among people, from `low` to `high`, each -1 to 1."""
        return difference(self.people.count(result), self.voices.count(result))

    @property
    def outside(self) -> tuple[Result, ...]:
        """The results whose share of people lies outside of where the voices put it."""
        results: tuple[Result, ...] = ("asked", "wrong")
        return tuple(each for each in results if not self._foretold(each))

    def _foretold(self, result: Result) -> bool:
        limits = self.voices.count(result).interval
        return limits.low <= self.people.count(result).rate <= limits.high


class Bias(BaseModel):
    """The whole table."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    made_with: str  # the command
    made_on: date
    speech: str  # who the people are
    at: tuple[AtRatio, ...]  # by ratio, the clearest first

    def nearest(self, snr_db: float) -> AtRatio | None:
        """The row that counts at a ratio: the clearest that is no clearer than it.

        None in more noise than people were measured in: nothing is known of them there.
        """
        rows = sorted(self.at, key=lambda each: -each.snr_db)
        return next((each for each in rows if each.snr_db <= snr_db), None)

    def difference(self, result: Result, snr_db: float) -> Interval:
        """How much larger the share is among people at a ratio; anything where it is not known."""
        row = self.nearest(snr_db)
        return Interval(-1.0, 1.0) if row is None else row.difference(result)


@cache
def measured_bias() -> Bias:
    """The table that comes with handsfree."""
    return Bias.model_validate(tomllib.loads(_MEASURED.read_text(encoding="utf-8")))


def difference(one: Count, other: Count) -> Interval:
    """The 95 % interval of the rate of `one` less that of `other`."""
    return hybrid(one.rate, one.interval, other.rate, other.interval)


def hybrid(mine: float, of_mine: Interval, yours: float, of_yours: Interval) -> Interval:
    """The interval of a difference of two rates, by the interval of each."""
    apart = mine - yours
    low = apart - hypot(mine - of_mine.low, of_yours.high - yours)
    high = apart + hypot(of_mine.high - mine, yours - of_yours.low)
    return Interval(max(-1.0, low), min(1.0, high))


def widened(count: Count, result: Result, snr_db: float) -> Interval:
    """Where the rate of people at work lies, by what synthetic voices have shown."""
    limits = count.interval
    bias = measured_bias().difference(result, snr_db)
    low = limits.low + min(0.0, bias.low)
    high = limits.high + max(0.0, bias.high)
    return Interval(max(0.0, low), min(1.0, high))
