"""Few jobs are done here, for workers take longer to start than such work takes."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack
from itertools import chain, islice
from types import TracebackType
from typing import TYPE_CHECKING

from handsfree.fleet.job import Found, Given, Job
from handsfree.fleet.threads import InThreads

if TYPE_CHECKING:
    from handsfree.fleet.runner import Runner


class HereWhileFew:
    """A `Runner` of this process, until there is more to do than a `few` jobs; then of workers."""

    def __init__(
        self, workers: int, few: int, start: "Callable[[], AbstractContextManager[Runner]]"
    ) -> None:
        """`start` begins the workers, which are ended with the block that this is opened for."""
        self.workers = workers
        self._here = InThreads(workers)
        self._few = few  # that may still be done here
        self._start = start
        self._others: Runner | None = None
        self._started = ExitStack()

    def __enter__(self) -> "HereWhileFew":
        """Nothing is started yet."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the workers, where any were started."""
        self._started.__exit__(kind, error, trace)

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        """See `Runner.results`. Raises what the workers raise besides, where they are started."""
        if self._others is None:
            jobs = iter(jobs)
            first = list(islice(jobs, self._few + 1))
            if len(first) <= self._few:
                self._few -= len(first)
                yield from self._here.results(first)
                return
            self._others = self._started.enter_context(self._start())
            jobs = chain(first, jobs)
        yield from self._others.results(jobs)
