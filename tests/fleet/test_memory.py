"""What a job has freed stays with the process for the next one."""

import platform
import subprocess
import sys

import pytest

from handsfree.fleet import Job, open_runner
from tests.fleet.work import Number, page_faults

needs_glibc = pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="it is glibc's malloc")

FAULTS = (
    "from handsfree.fleet.memory import keep_freed_memory\n"
    "from tests.fleet.work import Number, page_faults\n"
    "before = page_faults(Number(50))\n"
    "assert keep_freed_memory()\n"
    "page_faults(Number(2))\n"
    "print(before, page_faults(Number(50)))\n"
)


@needs_glibc
def test_a_process_that_gives_all_back_as_dasks_workers_do_keeps_it_then() -> None:
    told = subprocess.run(
        [sys.executable, "-c", FAULTS],
        env={"MALLOC_TRIM_THRESHOLD_": "65536"},
        capture_output=True,
        text=True,
        check=True,
    )
    before, then = map(int, told.stdout.split())
    assert before > 50 * 60  # 50 times 1 MB, in pages of at most 16 kB
    assert then < before / 20


LARGE_IN_A_THREAD = (
    "import sys\n"
    "from concurrent.futures import ThreadPoolExecutor\n"
    "from resource import RUSAGE_SELF, getrusage\n"
    "import numpy as np\n"
    "from handsfree.fleet.memory import keep_freed_memory\n"
    "if sys.argv[1:]: assert keep_freed_memory()\n"
    "def work():\n"
    "    before = getrusage(RUSAGE_SELF).ru_minflt\n"
    "    for _ in range(5): np.ones(2**23, np.float32), np.ones(2**24, np.float32)\n"
    "    return getrusage(RUSAGE_SELF).ru_minflt - before\n"
    "with ThreadPoolExecutor(1) as pool: print(pool.submit(work).result(), "
    "pool.submit(work).result())\n"
)


@needs_glibc
def test_so_does_one_that_takes_large_pieces_in_threads() -> None:
    """As Whisper's encoder does, with 54 MB a layer."""

    def faults(*keeping: str) -> int:
        told = subprocess.check_output([sys.executable, "-c", LARGE_IN_A_THREAD, *keeping])
        return int(told.split()[1])

    assert faults("keeping") < faults() / 50


@needs_glibc
@pytest.mark.slow
def test_local_workers_keep_what_their_jobs_have_freed() -> None:
    pytest.importorskip("distributed", reason="the extra 'fleet' is not installed")
    with open_runner(workers=2) as runner:
        jobs = [Job(page_faults, Number(20))] * 8
        faults = [found for _, found in runner.results(jobs)]
    assert min(faults) < 20 * 60 / 20
