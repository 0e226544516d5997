from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from handsfree.errors import Misuse
from handsfree.fleet import InOneProcess, Job, Kept, open_runner
from handsfree.fleet.job import Found, Given
from tests.fleet.work import Number, fail, square


def jobs(*numbers: int) -> list[Job[Number, int]]:
    return [Job(square, Number(each)) for each in numbers]


def test_one_process_does_the_jobs_in_their_order() -> None:
    with open_runner() as runner:
        assert isinstance(runner, InOneProcess)
        assert list(runner.results(jobs(3, 1, 2))) == [(0, 9), (1, 1), (2, 4)]


def test_no_more_jobs_are_made_than_are_done() -> None:
    made: list[int] = []

    def making() -> Iterator[Job[Number, int]]:
        for number in range(1_000):
            made.append(number)
            yield Job(square, Number(number))

    results = InOneProcess().results(making())
    assert next(results) == (0, 0)
    assert made == [0]


def test_what_a_job_raises_is_raised() -> None:
    with pytest.raises(Misuse, match="4 is no number for this"):
        list(InOneProcess().results([Job(fail, Number(4))]))


def test_workers_and_a_scheduler_exclude_each_other() -> None:
    with (
        pytest.raises(Misuse, match="Name either --workers or --scheduler"),
        open_runner(2, "tcp://127.0.0.1:1"),
    ):
        pass


@pytest.mark.parametrize("workers", [0, -1])
def test_somebody_must_work(workers: int) -> None:
    with pytest.raises(Misuse, match="--workers is at least 1"), open_runner(workers):
        pass


class Counting(InOneProcess):
    """Counts what is really done."""

    def __init__(self) -> None:
        self.done = 0

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        for each in super().results(jobs):
            self.done += 1
            yield each


def test_what_is_kept_is_not_done_again(tmp_path: Path) -> None:
    kept, runner = Kept(tmp_path / "kept", int), Counting()
    assert dict(kept.results(runner, jobs(2, 3))) == {0: 4, 1: 9}
    assert dict(kept.results(runner, jobs(3, 4, 2))) == {0: 9, 1: 16, 2: 4}
    assert runner.done == 3


def test_who_is_interrupted_goes_on_from_there(tmp_path: Path) -> None:
    kept, runner = Kept(tmp_path, int), Counting()
    results = kept.results(runner, jobs(*range(10)))
    for _ in range(4):
        next(results)
    del results
    assert dict(kept.results(runner, jobs(*range(10)))) == {each: each**2 for each in range(10)}
    assert runner.done == 10


@pytest.mark.parametrize("content", [b"", b"{", b'"nine"', b"\xff", b"null"])
def test_a_damaged_result_is_computed_again(tmp_path: Path, content: bytes) -> None:
    kept = Kept(tmp_path, int)
    (job,) = jobs(3)
    kept.put(job.key, 8)
    next(tmp_path.rglob("*.json")).write_bytes(content)
    assert dict(kept.results(InOneProcess(), [job])) == {0: 9}
    assert kept.get(job.key) == 9
