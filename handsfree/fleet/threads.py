"""Jobs side by side in this process, for work that seldom needs Python itself.

Threads begin at once, and share what is loaded. What is lost when a worker dies would be lost here
with this process, so this is for work that is soon done.
"""

from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from itertools import islice
from typing import Any

from handsfree.fleet.job import Found, Given, Job
from handsfree.fleet.memory import keep_freed_memory

_AHEAD = 2  # jobs for each thread, so that none waits for the next one

_at_once = 1


def at_once() -> int:
    """How many jobs share this process and the processor, for whoever prepares for them."""
    return _at_once


class InThreads:
    """A `Runner` that does so many jobs at the same time, which must not be in each other's way."""

    def __init__(self, workers: int) -> None:
        self.workers = workers

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        """See `Runner.results`; as they come."""
        global _at_once
        keep_freed_memory()
        numbered = enumerate(jobs)
        numbers: dict[Future[Any], int] = {}
        pool = ThreadPoolExecutor(self.workers)
        before, _at_once = _at_once, self.workers

        def hand_out(most: int) -> None:
            for number, job in islice(numbered, most):
                numbers[pool.submit(job.do, job.given)] = number

        try:
            hand_out(_AHEAD * self.workers)
            while numbers:
                done, _ = wait(numbers, return_when=FIRST_COMPLETED)
                for each in done:
                    number = numbers.pop(each)
                    found: Found = each.result()
                    hand_out(1)
                    yield number, found
        finally:
            pool.shutdown(cancel_futures=True)
            _at_once = before
