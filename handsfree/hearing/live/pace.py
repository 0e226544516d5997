"""How long one person pauses within what they say. Pure; learnt anew in each run.

Pauses within utterances differ by person and by what is read. Where more may come, whoever pauses
long is waited for longer than the table of `waits` says; nobody is waited for shorter, for whoever
has spoken in one go so far may still have to think. It is bounded, and some pauses of nobody in
particular count from the start, so a single one of any length changes nothing.
"""

import math
from dataclasses import dataclass

_USUAL_PAUSE = 10  # frames: the 90th percentile of the pauses that AN4's speakers make, 320 ms
_USUAL_COUNTS_AS = 10  # pauses
_PERCENTILE = 0.9
_KEPT = 50  # pauses: a person who comes back from lunch may be another one
_MOST_TIMES = 1.5


@dataclass(frozen=True, slots=True)
class Pace:
    """The pauses that somebody made and then went on, the last one last."""

    pauses: tuple[int, ...] = ()  # frames

    def after(self, pause: int) -> "Pace":
        """With one more pause, after which they went on."""
        return Pace((*self.pauses, pause)[-_KEPT:])

    @property
    def times(self) -> float:
        """How many times as long as usual to wait for more: from 1 to 1.5, to two places."""
        pauses = sorted((*self.pauses, *[_USUAL_PAUSE] * _USUAL_COUNTS_AS))
        high = pauses[math.ceil(_PERCENTILE * len(pauses)) - 1]
        return round(min(_MOST_TIMES, max(1.0, high / _USUAL_PAUSE)), 2)
