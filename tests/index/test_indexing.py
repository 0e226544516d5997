"""An index that is brought up to date has what one has that is made anew."""

import fcntl
import os
import shutil
from concurrent.futures.process import BrokenProcessPool
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.index import indexing
from handsfree.index.folders import Place
from handsfree.index.indexing import Indexed
from handsfree.index.noting import Noting, Trust
from handsfree.index.store import Store
from handsfree.index.tables import PersonRow, Row, Stands
from handsfree.record.trusted import Trusted
from tests.how_many import examples
from tests.index.shelf import contents, looked
from tests.record.runs import hold
from tests.record.six_runs import RUNS


def read_of(found: Indexed) -> tuple[int, int, int]:
    return found.records, found.read, found.gone


def test_only_what_is_new_or_has_changed_is_read(six: Path, tmp_path: Path) -> None:
    root = Path(shutil.copytree(six, tmp_path / "root"))
    with Store(tmp_path / "index") as store:
        assert read_of(looked(store, root)) == (6, 6, 0)
        assert read_of(looked(store, root)) == (6, 0, 0)
        hold(root / "new")
        (root / "perfect" / "seal.json").unlink()
        shutil.rmtree(root / "rework")
        assert read_of(looked(store, root)) == (6, 2, 1)
    with Store(tmp_path / "index") as store:
        assert read_of(looked(store, root)) == (6, 0, 0)


_CHANGES = ("add", "remove", "alter", "cut", "pipe", "move")


class Shelf:
    """A folder of records that somebody works in."""

    def __init__(self, six: Path, root: Path) -> None:
        self._made = six
        self.root = root
        root.mkdir()
        self._names = count()

    def change(self, how: str, which: int) -> None:
        there = sorted(each for each in self.root.iterdir())
        if how == "add" or not there:
            runs = sorted(self._made.iterdir())
            shutil.copytree(runs[which % len(runs)], self.root / f"run-{next(self._names)}")
            return
        folder = there[which % len(there)]
        log = folder / "log.jsonl"
        match how:
            case "remove":
                shutil.rmtree(folder)
            case "alter":
                log.write_bytes(log.read_bytes().replace(b"affirm", b"Affirm", 1))
            case "cut":
                log.write_bytes(log.read_bytes()[: log.stat().st_size * 2 // 3])
            case "pipe" if not (folder / "clips" / "pipe").exists():
                os.mkfifo(folder / "clips" / "pipe")
            case "move":
                folder.rename(self.root / f"run-{next(self._names)}")


@pytest.mark.slow
@settings(max_examples=examples(15), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.lists(st.tuples(st.sampled_from(_CHANGES), st.integers(0, 9)), min_size=1, max_size=4),
        min_size=1,
        max_size=4,
    )
)
def test_an_index_made_bit_by_bit_equals_one_made_anew(
    six: Path, tmp_path_factory: pytest.TempPathFactory, rounds: list[list[tuple[str, int]]]
) -> None:
    folder = tmp_path_factory.mktemp("shelf")
    shelf = Shelf(six, folder / "root")
    with Store(folder / "index") as store:
        for changes in rounds:
            for how, which in changes:
                shelf.change(how, which)
            looked(store, shelf.root)
        with Store(folder / "anew") as anew:
            looked(anew, shelf.root)
            assert contents(store) == contents(anew)


def test_what_counts_as_trusted_decides_of_every_record(six: Path, tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        looked(store, six)
        assert looked(store, six, Trust(trusted=Trusted(()))).read == 6
        with store.cursor() as ask:
            stands = {row["stands"] for row in ask.rows("SELECT stands FROM records")}
        assert stands == {Stands.NOT_AS_WRITTEN.value}


def test_another_folder_in_the_same_index_takes_the_place_of_the_first(
    six: Path, tmp_path: Path
) -> None:
    hold(tmp_path / "other" / "run")
    with Store(tmp_path / "index") as store:
        looked(store, six)
        looked(store, tmp_path / "other")
        assert len(contents(store)["records"]) == 1


def test_a_record_that_is_still_written_is_looked_at_each_time(tmp_path: Path) -> None:
    """That a program holds the log is told by its lock, which leaves no mark in the record."""
    hold(tmp_path / "root" / "run", ("pin fitted",))
    with Store(tmp_path / "index") as store:
        with (tmp_path / "root" / "run" / "log.jsonl").open("ab") as log:
            fcntl.flock(log, fcntl.LOCK_EX)
            looked(store, tmp_path / "root")
            assert stands(store) == [Stands.BEING_WRITTEN.value]
        assert looked(store, tmp_path / "root").read == 1
        assert stands(store) == [Stands.NOT_FINISHED.value]


def stands(store: Store) -> list[Any]:
    with store.cursor() as ask:
        return [row["stands"] for row in ask.rows("SELECT stands FROM records ORDER BY name")]


@pytest.mark.slow
def test_many_are_read_by_several_processes_to_the_same(
    six: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path / "alone") as alone, Store(tmp_path / "several") as several:
        looked(alone, six)
        monkeypatch.setattr(indexing, "_WORTH_PROCESSES", 1)
        monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
        looked(several, six)
        assert contents(alone) == contents(several)


class FailingPool:
    """A pool whose processes are ended by the system at the third record that they are given."""

    def __init__(self, *_: object, initargs: tuple[Trust], **__: object) -> None:
        indexing._begin(*initargs)

    def __enter__(self) -> "FailingPool":
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def map(self, does: Any, jobs: list[Any], chunksize: int) -> Any:
        for job in jobs:
            if job[0].below == b"perfect":
                raise BrokenProcessPool
            yield does(job)


def test_a_record_that_takes_its_process_down_is_told_and_the_rest_is_read(
    six: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(indexing, "_WORTH_PROCESSES", 1)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(indexing, "ProcessPoolExecutor", FailingPool)
    with Store(tmp_path / "index") as store:
        looked(store, six)
        with store.cursor() as ask:
            [row] = ask.rows("SELECT name, why FROM records WHERE rank = 0")
            assert ask.one("SELECT count(*) FROM records") == len(RUNS)
        assert row["name"] == "perfect"
        assert row["why"].startswith("the process that read it was ended by the system")


def test_a_record_that_the_index_cannot_hold_is_told_and_the_rest_is_there(
    six: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted = Noting.note

    def unfit(self: Noting, place: Place, mark: str | None = None) -> tuple[Row, ...]:
        rows = noted(self, place, mark)
        return (
            (*rows, PersonRow(place.id, "x", "did", 1 << 80)) if b"rework" in place.below else rows
        )

    monkeypatch.setattr(Noting, "note", unfit)
    with Store(tmp_path / "index") as store:
        assert read_of(looked(store, six)) == (6, 6, 0)
        with store.cursor() as ask:
            [row] = ask.rows("SELECT name, why FROM records WHERE rank = 0")
            assert ask.one("SELECT count(*) FROM records") == len(RUNS)
        assert row["name"] == "rework"
        assert row["why"].startswith("the index cannot hold what the record says (Conversion Error")
        assert read_of(looked(store, six)) == (6, 0, 0)


def test_whole_numbers_of_any_size_in_a_record_are_told_as_damage(
    six: Path, tmp_path: Path
) -> None:
    root = Path(shutil.copytree(six, tmp_path / "root"))
    log = root / "deferral" / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"number":1', b'"number":%d' % (1 << 70)))
    with Store(tmp_path / "index") as store:
        looked(store, root)
        with store.cursor() as ask:
            [row] = ask.rows("SELECT name, why FROM records WHERE rank = 0")
    assert row["name"] == "deferral"
    assert "a whole number beyond 2^53 - 1, which no run writes" in row["why"]


def test_how_far_it_is_is_told(six: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    with Store(tmp_path / "index") as store:
        indexing.bring_up_to_date(store, six, Trust(), lambda done, of: told.append((done, of)))
    assert told == [(6, 6)]
