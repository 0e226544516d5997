"""Jobs side by side in this process."""

from collections.abc import Iterator

import pytest

from handsfree.errors import Misuse
from handsfree.fleet import InOneProcess, Job
from handsfree.fleet.threads import InThreads, at_once
from tests.fleet.work import Number, fail, how_many_at_once, square, wait_for_another


def test_threads_find_what_one_process_finds() -> None:
    jobs = [Job(square, Number(each % 7)) for each in range(40)]  # equal ones among them
    assert dict(InThreads(3).results(jobs)) == dict(InOneProcess().results(jobs))


def test_they_work_at_the_same_time() -> None:
    jobs = [Job(wait_for_another, Number(each)) for each in range(6)]
    assert sorted(InThreads(2).results(jobs)) == [(each, each) for each in range(6)]


def test_only_a_few_jobs_are_handed_out_ahead() -> None:
    made: list[int] = []

    def making() -> Iterator[Job[Number, int]]:
        for number in range(1_000):
            made.append(number)
            yield Job(square, Number(number))

    results = InThreads(2).results(making())
    next(results)
    assert len(made) <= 6
    del results


def test_what_a_job_raises_is_raised() -> None:
    with pytest.raises(Misuse, match="4 is no number for this"):
        list(InThreads(2).results([Job(fail, Number(4)), Job(square, Number(2))]))
    assert at_once() == 1


def test_a_job_can_know_how_many_share_the_processor_with_it() -> None:
    assert list(InThreads(3).results([Job(how_many_at_once, Number(0))])) == [(0, 3)]
    assert list(InOneProcess().results([Job(how_many_at_once, Number(0))])) == [(0, 1)]
