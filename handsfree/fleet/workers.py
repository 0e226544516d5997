"""Workers beyond this process, by Dask distributed.

Only as many jobs are handed out as keep every worker busy, so that the sound of a thousand records
never lies in memory at once. A job whose worker dies goes to another one. Nothing is believed of a
worker that has other code or other models than this process, see `build.py`.
"""

import logging
import re
import signal
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import resource_tracker
from tempfile import TemporaryDirectory
from typing import Any
from uuid import uuid4

import dask
import distributed
from distributed import Client, LocalCluster, as_completed
from distributed.comm import CommClosedError
from distributed.diagnostics.plugin import WorkerPlugin
from distributed.scheduler import KilledWorker

from handsfree.errors import HandsfreeError, Misuse
from handsfree.fleet.build import Build, build_with, why_unfit
from handsfree.fleet.job import Found, Given, Job
from handsfree.fleet.memory import keep_freed_memory
from handsfree.fleet.needs import Needs, bring
from handsfree.fleet.troubles import (
    JobFailed,
    JobKillsWorkers,
    NoWorkers,
    SchedulerDiffers,
    SchedulerLost,
    SchedulerUnreachable,
    WorkersUnfit,
)

_PATIENCE_S = 10  # for a scheduler to answer
_JOBS_AHEAD = 3  # for each worker, so that none waits for the next one
_LOOPBACK = "127.0.0.1"
_ADDRESS = re.compile(r"(tcp|tls|ws|wss)://[A-Za-z0-9._\[\]:-]+:[0-9]{1,5}")


@dataclass(frozen=True, slots=True)
class _Refused:
    """In place of a result: this worker must not do the work."""

    worker: str
    why: str


@dataclass(frozen=True, slots=True)
class _Failed:
    """In place of a result: what the job raised for a person to read."""

    told: str


class OnWorkers:
    """A `Runner` whose jobs are done by the workers of a scheduler."""

    def __init__(self, client: Client, packages: tuple[str, ...] = ()) -> None:
        """`packages` are those that a worker must have for these jobs."""
        self._client = client
        self._wanted = build_with(packages)

    @property
    def workers(self) -> int:
        """How many workers the scheduler knows now."""
        return max(1, len(self._client.scheduler_info(n_workers=-1)["workers"]))

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        """See `Runner.results`. Raises JobFailed, JobKillsWorkers or WorkersUnfit besides."""
        numbered = enumerate(jobs)
        numbers: dict[str, int] = {}  # by the key that Dask knows a job by
        waiting = as_completed(loop=self._client.loop)
        # A scheduler that knows a key already gives the result that it has. So every call has
        # names of its own, and every job in it, for equal jobs are each to be told of.
        call = uuid4().hex

        def hand_out() -> bool:
            following = next(numbered, None)
            if following is None:
                return False
            number, job = following
            future = self._client.submit(
                _do, self._wanted, job.do, job.given, key=f"{call}-{number}", pure=False
            )
            numbers[future.key] = number
            waiting.add(future)
            return True

        try:
            for _ in range(_JOBS_AHEAD * self.workers):
                if not hand_out():
                    break
            for future in waiting:
                number = numbers.pop(future.key)
                found = _result_of(number, future.result)
                hand_out()
                yield number, found
        except (CancelledError, CommClosedError) as error:
            raise SchedulerLost from error
        finally:
            with suppress(CancelledError, CommClosedError):  # nobody is there to be told
                self._client.cancel(list(waiting.futures), force=True)


@contextmanager
def local_workers(count: int, needs: Needs) -> Iterator[OnWorkers]:
    """So many processes of this machine, which nobody else can reach; ended with the block."""
    cluster: LocalCluster | None = None
    with (
        _quietly(),
        TemporaryDirectory(prefix="handsfree-fleet-", ignore_cleanup_errors=True) as own,
        dask.config.set({"temporary-directory": own}),
    ):
        try:
            with _interrupts_held_back():
                # With a certificate made for this run: whoever can talk to a worker can have it
                # run anything, and other people may be logged in.
                cluster = LocalCluster(
                    n_workers=count,
                    threads_per_worker=1,
                    host=_LOOPBACK,
                    dashboard_address=None,
                    security=True,
                )
            with Client(cluster, set_as_default=False) as client:
                client.register_plugin(_SayNothing())
                _refuse_unfit(client, needs.packages)
                with _given(client, needs):
                    yield OnWorkers(client, needs.packages)
        finally:
            if cluster is not None:
                cluster.close()


@contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Ctrl-C reaches every process of the terminal; only this one shall be told of it, afterwards.

    Threads and processes that begin within the block, and those that they begin later, keep out of
    it for good: a signal mask is inherited. Whatever starts Python's tracker of shared resources
    would let the signal in again, so that runs before.
    """
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def workers_of(address: str, needs: Needs) -> Iterator[OnWorkers]:
    """The workers of the scheduler at `address`, left running behind the block.

    Raises SchedulerUnreachable, SchedulerDiffers, NoWorkers or WorkersUnfit.
    """
    if not _ADDRESS.fullmatch(address):
        raise Misuse(f"--scheduler {address}: is no address, such as tcp://10.0.0.5:8786.")
    with _quietly():
        try:
            client = Client(address, timeout=_PATIENCE_S, set_as_default=False)
        except (OSError, ValueError, RuntimeError, TypeError) as error:
            raise SchedulerUnreachable(address, _reason_of(error)) from error
        with client:
            try:
                _refuse_other(client, address)
                _refuse_unfit(client, needs.packages)
            except CommClosedError as error:
                raise SchedulerUnreachable(address, "it has gone") from error
            with _given(client, needs):
                yield OnWorkers(client, needs.packages)


def _refuse_other(client: Client, address: str) -> None:
    """A scheduler of another version, or without workers."""
    versions = client.get_versions(check=False)["scheduler"]["packages"]
    if versions["distributed"] != distributed.__version__:
        raise SchedulerDiffers(address, versions["distributed"], distributed.__version__)
    if not client.scheduler_info(n_workers=-1)["workers"]:
        raise NoWorkers(address)


def _do(wanted: Build, do: Callable[[Given], Found], given: Given) -> Found | _Refused | _Failed:
    """On the worker. What it refuses and what fails is told as data: errors do not travel well."""
    # Here too, for workers can join later.
    why = why_unfit(build_with(tuple(name for name, _ in wanted.needed)), wanted)
    if why is not None:
        return _Refused(distributed.get_worker().address, why)
    keep_freed_memory()
    try:
        return do(given)
    except HandsfreeError as error:
        return _Failed(f"Worker {distributed.get_worker().address}: {error}")


def _result_of(number: int, result: Callable[[], Any]) -> Any:
    try:
        found = result()
    except KilledWorker as error:
        raise JobKillsWorkers(number) from error
    if isinstance(found, _Refused):
        raise WorkersUnfit({found.worker: found.why})
    if isinstance(found, _Failed):
        raise JobFailed(found.told)
    return found


def _refuse_unfit(client: Client, packages: tuple[str, ...]) -> None:
    """Ask every worker, before anything is handed out, what it computes with."""
    here = build_with(packages)
    unfit: dict[str, str] = {}
    for worker, told in client.run(build_with, packages, on_error="return").items():
        if isinstance(told, ModuleNotFoundError):
            unfit[worker] = f"handsfree is not installed there ({told})"
        elif not isinstance(told, Build):
            unfit[worker] = f"it does not answer ({told})"
        elif (why := why_unfit(told, here)) is not None:
            unfit[worker] = why.rstrip(".")
    if unfit:
        raise WorkersUnfit(unfit)


@contextmanager
def _given(client: Client, needs: Needs) -> Iterator[None]:
    """Every worker has the contents that the jobs name, also one that joins within the block."""
    if not needs.contents:
        yield
        return
    brings = _Brings(needs.contents)
    client.register_plugin(brings, name=brings.name)
    try:
        yield
    finally:
        with suppress(CancelledError, CommClosedError, ValueError):  # the scheduler may have gone
            client.unregister_worker_plugin(brings.name)


@contextmanager
def _quietly() -> Iterator[None]:
    """What Dask tells people who know Dask goes to no screen: what matters we tell, as an error."""
    _say_nothing()
    with dask.config.set({"logging.distributed": "critical"}), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _say_nothing() -> None:
    """For good, for threads of theirs go on a little behind the end."""
    theirs = ("distributed", "tornado", "asyncio")
    for name in (*theirs, *logging.root.manager.loggerDict):
        if name.partition(".")[0] in theirs:
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)


class _SayNothing(WorkerPlugin):  # type: ignore[misc]  # has no types here
    """Every worker of this machine, also one that takes the place of another."""

    name = "handsfree-say-nothing"

    def setup(self, worker: object) -> None:  # noqa: ARG002 - so Dask calls it
        """As the worker begins."""
        _say_nothing()


class _Brings(WorkerPlugin):  # type: ignore[misc]  # has no types here
    """Gives the contents of files to every worker."""

    def __init__(self, contents: tuple[bytes, ...]) -> None:
        self.name = f"handsfree-brings-{uuid4().hex}"
        self._contents = contents

    def setup(self, worker: object) -> None:  # noqa: ARG002 - so Dask calls it
        """As the worker begins, or is given this."""
        bring(self._contents)


def _reason_of(error: BaseException) -> str:
    """The first thing in the chain of causes that the operating system said, else the error."""
    cause: BaseException | None = error
    while cause is not None:
        if isinstance(cause, OSError) and cause.strerror:
            return cause.strerror
        cause = cause.__cause__ or cause.__context__
    return str(error).partition("\n")[0] or type(error).__name__
