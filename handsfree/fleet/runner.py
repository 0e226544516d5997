"""Who does the jobs: this process, others of this machine, or a scheduler with its workers."""

from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from importlib.util import find_spec
from typing import Protocol

from handsfree.errors import Misuse
from handsfree.fleet.few import HereWhileFew
from handsfree.fleet.job import Found, Given, Job
from handsfree.fleet.memory import keep_freed_memory
from handsfree.fleet.needs import Needs, bring


class Runner(Protocol):
    """Does jobs, each at least once; what it tells follows from the jobs alone."""

    @property
    def workers(self) -> int:
        """How many jobs are done at the same time, as far as is known now."""

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        """Each job by its number, from 0 in the order given, with its result, as they come.

        `jobs` is read only as far as there is somebody to do them, so it may be made on the way and
        be long. What a job raises is raised here, and the rest is not done.
        """


class InOneProcess:
    """Does one job after the other, here."""

    workers = 1

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        """See `Runner.results`; in the order given."""
        keep_freed_memory()
        for number, job in enumerate(jobs):
            yield number, job.do(job.given)


class FleetMissing(Misuse):
    """The packages for more than one process are not installed."""

    def __init__(self) -> None:
        super().__init__(
            "More than one process needs the extra 'fleet' (there is no module 'distributed'). "
            "Install it: pip install 'handsfree[fleet]', or in the checkout pip install '.[fleet]'."
        )


@contextmanager
def open_runner(
    workers: int = 1, scheduler: str | None = None, needs: Needs | None = None, few: int = 0
) -> Iterator[Runner]:
    """A runner, ended with the block: this process, or `workers` of this machine, or those of the
    Dask `scheduler` at an address such as tcp://10.0.0.5:8786.

    Each worker gets the contents in `needs`, and must have the packages. So many jobs as are `few`
    are done here at the same time, before any worker of this machine is started. Raises Misuse
    where both are named, FleetMissing, SchedulerUnreachable, SchedulerDiffers or WorkersUnfit.
    """
    if scheduler is not None and workers != 1:
        raise Misuse("Name either --workers or --scheduler: the scheduler has its own workers.")
    if workers < 1:
        raise Misuse(f"--workers is at least 1, not {workers}.")
    needs = needs or Needs()
    if scheduler is None and workers == 1:
        bring(needs.contents)
        yield InOneProcess()
        return
    if find_spec("distributed") is None:
        raise FleetMissing
    with _opened(workers, scheduler, needs, few) as runner:
        yield runner


def _opened(
    workers: int, scheduler: str | None, needs: Needs, few: int
) -> AbstractContextManager[Runner]:
    if scheduler is None and few:
        bring(needs.contents)
        return HereWhileFew(workers, few, lambda: _opened(workers, None, needs, 0))
    # Imported here, for it takes half a second, which few jobs need not wait for.
    from handsfree.fleet.workers import local_workers, workers_of

    return local_workers(workers, needs) if scheduler is None else workers_of(scheduler, needs)
