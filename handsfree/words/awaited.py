"""What a value that is asked for is likely to be, to tell when all of it was said.

Nothing is refused by it: a value far outside its limits is as good as any other. But "two niner" on
a gauge that is read at some 3,000 psi is more likely the beginning of a value than a value.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

# Whoever reads a gauge with a wrong value on it still reads one of about that size. Common
# practice, no source.
_FARTHEST = 2


@dataclass(frozen=True, slots=True)
class Scale:
    """The values that a gauge of these steps may show where its limits are these."""

    step: Decimal  # above 0
    least: Decimal
    most: Decimal

    @classmethod
    def around(cls, step: Decimal, lowest: Decimal, highest: Decimal) -> "Scale":
        """From half of `lowest` to twice `highest`, which are the limits; of values below zero,
        the other way round."""
        return cls(
            step,
            lowest / _FARTHEST if lowest > 0 else lowest * _FARTHEST,
            highest * _FARTHEST if highest > 0 else highest / _FARTHEST,
        )

    def holds(self, value: Decimal) -> bool:
        """Whether the gauge may show this."""
        return self.least <= value <= self.most and value % self.step == 0

    def may_go_on(self, figures: str) -> bool:
        """Whether a value that it may show begins with `figures`, as said, and has more of them.

        `figures` are digits with at most one point, and a "-" first below zero.
        """
        if figures.startswith("-"):
            return Scale(self.step, -self.most, -self.least).may_go_on(figures[1:])
        places = max(0, -int(self.step.normalize().as_tuple().exponent))
        whole, point, decimals = figures.partition(".")
        if len(decimals) < places:
            last = Decimal(1).scaleb(-len(decimals))  # of the last figure that was said
            if self._holds_any(Decimal(figures), Decimal(figures) + last):
                return True
        if point or not whole.strip("0"):
            # Nobody says zeros before a value and then waits.
            return False
        low, length = Decimal(whole), Decimal(1)
        while (low := low * 10) <= self.most:
            length *= 10
            if self._holds_any(low, low + length):
                return True
        return False

    def _holds_any(self, low: Decimal, below: Decimal) -> bool:
        """Whether it may show any value from `low` on and below `below`."""
        steps = (max(low, self.least) / self.step).to_integral_value(ROUND_CEILING)
        first = steps * self.step
        return first < below and first <= self.most


@dataclass(frozen=True, slots=True)
class Lengths:
    """How many letters and figures the numbers that are expected have; not empty."""

    characters: frozenset[int]


@dataclass(frozen=True, slots=True)
class AnyWords:
    """Words of no phrase set may go on from what is a phrase: a remark, or people who talk."""


Awaited = Scale | Lengths | AnyWords
