"""A computer that slept: the time of day goes on while the run stands still."""

from collections.abc import Callable
from datetime import datetime, timedelta

LEAST_SLEEP = timedelta(seconds=5)  # corrections of the clock are smaller


class SleepWatch:
    """Compares the time of day with the time of the run.

    Linux stops the monotonic clock while it sleeps; where it does not stop, the gap between two
    looks tells. A run looks at least once a second while it listens.
    """

    def __init__(self, utc_now: Callable[[], datetime], since_start: Callable[[], timedelta]):
        """Both clocks are handed in."""
        self._utc_now = utc_now
        self._since_start = since_start
        self._last = (utc_now(), since_start())

    def slept(self, busy: bool = False) -> timedelta | None:
        """How long the computer slept since the last look; None: it did not.

        `busy` says that the run had something else to do since then, such as a long instruction,
        so that a gap alone is no sleep.
        """
        utc, monotonic = self._last
        self._last = (self._utc_now(), self._since_start())
        by_day, by_run = self._last[0] - utc, self._last[1] - monotonic
        jump = by_day - by_run if busy else max(by_day - by_run, by_run)
        return jump if jump >= LEAST_SLEEP else None
