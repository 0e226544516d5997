"""Few jobs are done here, and workers are started for many."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pytest

from handsfree.fleet import InOneProcess, Job, Needs, Runner, open_runner, runner
from handsfree.fleet.few import HereWhileFew
from handsfree.fleet.job import Found, Given
from handsfree.fleet.needs import name_of
from tests.fleet.work import Number, how_many_at_once, length_of, square


class Workers(InOneProcess):
    """In place of processes; counts what they are given."""

    def __init__(self) -> None:
        self.done = 0
        self.told: list[str] = []

    def results(self, jobs: Iterable[Job[Given, Found]]) -> Iterator[tuple[int, Found]]:
        for each in super().results(jobs):
            self.done += 1
            yield each

    @contextmanager
    def started(self) -> Iterator[Runner]:
        self.told.append("started")
        yield self
        self.told.append("ended")


def jobs(number: int) -> list[Job[Number, int]]:
    return [Job(square, Number(each)) for each in range(number)]


def squares(number: int) -> dict[int, int]:
    return {each: each**2 for each in range(number)}


def test_few_jobs_start_nobody() -> None:
    workers = Workers()
    with HereWhileFew(2, 5, workers.started) as few:
        assert dict(few.results(jobs(2))) == squares(2)
        assert dict(few.results(jobs(3))) == squares(3)
        assert dict(few.results(jobs(0))) == {}
    assert workers.told == []


def test_from_the_first_that_is_too_much_on_the_workers_do_them_all() -> None:
    workers = Workers()
    with HereWhileFew(2, 5, workers.started) as few:
        assert dict(few.results(jobs(3))) == squares(3)
        assert workers.told == []
        assert dict(few.results(jobs(3))) == squares(3)
        assert dict(few.results(jobs(1))) == squares(1)
        assert workers.told == ["started"]
    assert workers.done == 4
    assert workers.told == ["started", "ended"]


def test_no_more_jobs_are_made_than_are_looked_at() -> None:
    made: list[int] = []

    def making() -> Iterator[Job[Number, int]]:
        for number in range(1_000):
            made.append(number)
            yield Job(square, Number(number))

    with HereWhileFew(2, 5, Workers().started) as few:
        assert next(few.results(making())) == (0, 0)
    assert len(made) == 6


def test_a_runner_is_asked_how_few_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(runner, "find_spec", lambda _name: "there")
    content = b"of a file"
    with open_runner(2, needs=Needs(contents=(content,)), few=3) as few:
        assert few.workers == 2
        assert list(few.results([Job(how_many_at_once, Number(0))])) == [(0, 2)]
        assert list(few.results([Job(length_of, name_of(content))])) == [(0, len(content))]


def test_without_dask_it_is_said_before_any_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(runner, "find_spec", lambda _name: None)
    told = r"needs the extra 'fleet'.*pip install 'handsfree\[fleet\]'"
    with pytest.raises(runner.FleetMissing, match=told), open_runner(2, few=3):
        pass
