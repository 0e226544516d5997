"""What a count of runs says about a rate: exact limits, and how many runs it takes.

The limits are those of C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits
illustrated in the case of the binomial" (Biometrika 26, 1934), as quantiles of beta distributions.
They hold at least as often as they say, for any rate and any number of runs.
"""

from dataclasses import dataclass
from enum import Enum
from functools import cache

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Interval:
    """Where a rate lies, with `CONFIDENCE` at least: `low` and `high`, both from 0 to 1."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Count:
    """So many `of` so many runs; checked when built."""

    times: int
    of: int

    def __post_init__(self) -> None:
        if not 0 <= self.times <= self.of:
            raise ValueError(f"{self.times} of {self.of} runs cannot be")

    @property
    def rate(self) -> float:
        """The share that was counted; 0 where there were no runs."""
        return self.times / self.of if self.of else 0.0

    @property
    def interval(self) -> Interval:
        """Clopper and Pearson's limits for the rate behind the count."""
        return interval(self.times, self.of)


class Verdict(Enum):
    """What a count says about "below this rate"."""

    HOLDS = "holds"
    DOES_NOT_HOLD = "does not hold"
    TOO_FEW = "not enough runs to say"


@cache
def interval(times: int, of: int, confidence: float = CONFIDENCE) -> Interval:
    """Both limits for the rate of what was seen `times` in `of` independent runs."""
    from scipy.special import betaincinv

    outside = (1 - confidence) / 2
    low = float(betaincinv(times, of - times + 1, outside)) if times else 0.0
    high = float(betaincinv(times + 1, of - times, 1 - outside)) if times < of else 1.0
    return Interval(low, high)


def verdict(limits: Interval, below: float) -> Verdict:
    """Whether a rate within `limits` is below a bound: surely, surely not, or not to be said."""
    if limits.high < below:
        return Verdict.HOLDS
    return Verdict.DOES_NOT_HOLD if limits.low >= below else Verdict.TOO_FEW


def runs_needed(below: float, times: int = 0) -> int:
    """The fewest runs after which a rate is shown to be `below`, if it is then seen `times`.

    `below` lies between 0 and 1; anything else is a ValueError.
    """
    if not 0 < below < 1:
        raise ValueError(f"a rate lies between 0 and 1, not at {below}")
    enough = times + 1
    while interval(times, enough).high >= below:
        enough *= 2
    too_few = enough // 2
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        if middle > times and interval(times, middle).high < below:
            enough = middle
        else:
            too_few = middle
    return enough
