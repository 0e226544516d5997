"""Dask's workers: in this process where that is enough, in their own where they are to die."""

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from itertools import count
from pathlib import Path

import pytest

from handsfree.errors import Misuse
from handsfree.fleet import Job, Needs, open_runner, troubles
from handsfree.fleet.needs import name_of
from tests.fleet.work import Marked, Number, die, die_once, fail, length_of, square
from tests.test_offline import files_in, needs_a_namespace, packets_of

distributed = pytest.importorskip("distributed", reason="the extra 'fleet' is not installed")

from handsfree.fleet import workers  # noqa: E402 - it imports Dask
from handsfree.fleet.workers import OnWorkers  # noqa: E402

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def in_threads() -> Iterator[OnWorkers]:
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield OnWorkers(client)


def test_workers_find_what_one_process_finds(in_threads: OnWorkers) -> None:
    jobs = [Job(square, Number(each % 7)) for each in range(40)]  # equal ones among them
    with open_runner() as alone:
        assert dict(in_threads.results(jobs)) == dict(alone.results(jobs))


def test_only_a_few_jobs_are_handed_out_ahead(in_threads: OnWorkers) -> None:
    made: list[int] = []

    def making() -> Iterator[Job[Number, int]]:
        for number in range(1_000):
            made.append(number)
            yield Job(square, Number(number))

    results = in_threads.results(making())
    next(results)
    assert len(made) <= 3 * in_threads.workers + 1
    del results


def test_what_a_job_says_is_wrong_is_told(in_threads: OnWorkers) -> None:
    with pytest.raises(troubles.JobFailed, match=r"Worker inproc://.*: 3 is no number for this"):
        list(in_threads.results([Job(fail, Number(3))]))


def test_a_worker_with_other_models_does_nothing_and_is_named(
    in_threads: OnWorkers, monkeypatch: pytest.MonkeyPatch
) -> None:
    why = "it is without the model file reader/reader.onnx"
    monkeypatch.setattr(workers, "why_unfit", lambda there, here: why)
    told = rf"Not every worker can do this work\. inproc://.*: {why}"
    with pytest.raises(troubles.WorkersUnfit, match=told):
        list(in_threads.results([Job(square, Number(3))]))


@pytest.mark.parametrize("address", ["here", "tcp://", "http://host:80", "tcp://host:port", ""])
def test_what_is_no_address_is_told(address: str) -> None:
    told = r"is no address, such as tcp://10\.0\.0\.5:8786"
    with pytest.raises(Misuse, match=told), open_runner(scheduler=address):
        pass


def test_nobody_there_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "_PATIENCE_S", 1)
    with (
        pytest.raises(troubles.SchedulerUnreachable) as raised,
        open_runner(scheduler="tcp://127.0.0.1:1"),
    ):
        pass
    assert str(raised.value) == (
        "tcp://127.0.0.1:1: no Dask scheduler can be reached there (Connection refused). Look "
        "whether it runs ('dask scheduler' prints its address), or leave --scheduler out to work "
        "here."
    )


@contextmanager
def scheduler(*more: str, version: str = "") -> Iterator[str]:
    """A scheduler in a process of its own, with as many workers as there are `more`; its address.

    `version` is what it says of itself, in place of the truth.
    """
    code = (
        "import asyncio, sys, distributed.versions as v\n"
        "from distributed import Nanny, Scheduler\n"
        "if sys.argv[1]:\n"
        "    v.version = lambda package: sys.argv[1]\n"
        "async def main():\n"
        "    async with Scheduler(host='127.0.0.1', port=0, dashboard=False) as s:\n"
        "        nannies = [await Nanny(s.address, nthreads=1, host='127.0.0.1',\n"
        "            dashboard=False, env=dict([each.split('=')])) for each in sys.argv[2:]]\n"
        "        print(s.address, flush=True)\n"
        "        await asyncio.to_thread(sys.stdin.read)\n"
        "        for each in nannies: await each.close()\n"
        "if __name__ == '__main__':\n"
        "    asyncio.run(main())\n"
    )
    path = os.environ | {"PYTHONPATH": str(ROOT)}
    process = subprocess.Popen(
        [sys.executable, "-c", code, version, *more],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=path,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    watchdog = threading.Timer(300, process.kill)
    watchdog.start()
    try:
        yield process.stdout.readline().strip()
    finally:
        process.stdin.close()
        process.wait()
        watchdog.cancel()


def test_a_scheduler_of_another_version_is_told() -> None:
    with (
        scheduler(version="1999.1.0") as address,
        pytest.raises(
            troubles.SchedulerDiffers,
            match=rf"the scheduler has Dask distributed 1999\.1\.0, and here is "
            rf"{distributed.__version__}\. Install one version on both",
        ),
        open_runner(scheduler=address),
    ):
        pass


def test_a_scheduler_without_workers_is_told() -> None:
    with (
        scheduler() as address,
        pytest.raises(troubles.NoWorkers, match="the scheduler has no workers"),
        open_runner(scheduler=address),
    ):
        pass


@pytest.mark.slow
def test_a_worker_without_the_models_is_named_before_anything_is_done(tmp_path: Path) -> None:
    with (
        scheduler("FITS=1", f"HANDSFREE_MODELS={tmp_path}") as address,
        pytest.raises(
            troubles.WorkersUnfit,
            match=r"Not every worker can do this work\. tcp://127\.0\.0\.1:\d+: .*"
            "catalogue of speech models is missing",
        ),
        open_runner(scheduler=address),
    ):
        pass


@pytest.mark.slow
def test_a_worker_without_a_voice_is_named_before_anything_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    voice = tmp_path / "a-voice"
    voice.touch(mode=0o755)
    with scheduler("FITS=1") as address:
        monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
        without = (
            r"tcp://127\.0\.0\.1:\d+: it is without a-voice, and here is a program of that name"
        )
        with (
            pytest.raises(troubles.WorkersUnfit, match=without),
            open_runner(scheduler=address, needs=Needs(packages=("a-voice",))),
        ):
            pass


@pytest.mark.slow
def test_every_worker_has_the_files_that_jobs_name() -> None:
    needs = Needs(contents=(b"a drill", b"a hangar door"))
    jobs = [Job(length_of, name_of(each)) for each in needs.contents] * 4
    with (
        scheduler("FITS=1", "FITS=1") as address,
        open_runner(scheduler=address, needs=needs) as runner,
    ):
        assert [found for _, found in sorted(runner.results(jobs))] == [7, 13] * 4


@pytest.mark.slow
def test_the_workers_of_a_scheduler_find_what_one_process_finds() -> None:
    jobs = [Job(square, Number(each)) for each in range(10)]
    with scheduler("FITS=1", "FITS=1") as address, open_runner(scheduler=address) as runner:
        assert runner.workers == 2
        assert sorted(runner.results(jobs)) == [(each, each**2) for each in range(10)]


def test_two_calls_at_the_same_time_do_not_take_each_others_results(
    in_threads: OnWorkers,
) -> None:
    one = in_threads.results(Job(square, Number(each)) for each in range(20))
    other = in_threads.results(Job(square, Number(100 + each)) for each in range(20))
    pairs = list(zip(one, other, strict=True))
    assert sorted(each for each, _ in pairs) == [(each, each**2) for each in range(20)]
    assert sorted(each for _, each in pairs) == [(each, (100 + each) ** 2) for each in range(20)]


@pytest.mark.slow
def test_a_scheduler_that_goes_is_told() -> None:
    def endless() -> Iterator[Job[Number, int]]:
        yield from (Job(square, Number(each)) for each in count())

    def work() -> None:
        with ExitStack() as running:
            address = running.enter_context(scheduler("FITS=1"))
            with open_runner(scheduler=address) as runner:
                for number, _ in runner.results(endless()):
                    if number == 5:
                        running.close()

    with pytest.raises(troubles.SchedulerLost, match="scheduler has gone"):
        work()


@pytest.mark.slow
def test_a_worker_that_dies_loses_nothing_and_a_job_that_kills_all_is_told(tmp_path: Path) -> None:
    jobs = [Job(die_once, Marked(each, str(tmp_path / f"{each % 5}"))) for each in range(10)]
    with open_runner(workers=2) as runner:
        assert sorted(runner.results(jobs)) == [(each, each**2) for each in range(10)]
        assert len(list(tmp_path.iterdir())) == 5  # each mark is a death
        with pytest.raises(troubles.JobKillsWorkers, match="Job 0 ended every worker that did it"):
            list(runner.results([Job(die, Number(1))]))


SQUARES = (
    "from handsfree.fleet import Job, open_runner\n"
    "from tests.fleet.work import Number, square\n"
    "if __name__ == '__main__':\n"
    "    with open_runner(workers=2) as runner:\n"
    "        print(sorted(runner.results(Job(square, Number(each)) for each in range(3))))\n"
)


@pytest.mark.slow
@needs_a_namespace
def test_local_workers_send_nothing_out_of_this_machine_and_leave_nothing_behind(
    tmp_path: Path,
) -> None:
    home = tmp_path / "home"
    assert packets_of((sys.executable, "-c", SQUARES), home) == []
    assert files_in(home) == []


@pytest.mark.slow
def test_ctrl_c_ends_it_all_without_a_word_from_the_workers() -> None:
    code = (
        "from handsfree.fleet import Job, open_runner\n"
        "from tests.fleet.work import Number, square\n"
        "import itertools\n"
        "if __name__ == '__main__':\n"
        "    try:\n"
        "        with open_runner(workers=2) as runner:\n"
        "            jobs = (Job(square, Number(each)) for each in itertools.count())\n"
        "            for number, _ in runner.results(jobs):\n"
        "                print(number, flush=True)\n"
        "    except KeyboardInterrupt:\n"
        "        print('interrupted', flush=True)\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        start_new_session=True,  # as a terminal has them: one group, told together
    )
    watchdog = threading.Timer(300, lambda: os.killpg(process.pid, signal.SIGKILL))
    watchdog.start()
    try:
        assert process.stdout is not None
        process.stdout.readline()
        os.killpg(process.pid, signal.SIGINT)
        told, wrong = process.communicate()
    finally:
        watchdog.cancel()
    assert told.splitlines()[-1] == "interrupted"
    assert wrong == ""
    assert process.returncode == 0
