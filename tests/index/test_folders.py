"""Where records are found, that nothing is followed, and that a change is noticed."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.index.folders import DEEPEST, mark_of, records_below
from handsfree.index.noting import Noting, Trust
from handsfree.index.tables import Stands
from tests.index.shelf import names_below, record_of
from tests.record.runs import hold


@pytest.fixture
def record(tmp_path: Path) -> Path:
    folder = tmp_path / "records" / "2031" / "QD-TRN" / "run"
    hold(folder)
    return folder


def test_records_are_found_however_they_are_filed(record: Path, tmp_path: Path) -> None:
    hold(tmp_path / "records" / "another")
    assert names_below(tmp_path / "records") == ["2031/QD-TRN/run", "another"]


def test_the_folder_may_be_a_record_itself(record: Path) -> None:
    assert names_below(record) == ["."]


def test_what_was_a_record_is_found_without_its_log(record: Path) -> None:
    (record / "log.jsonl").unlink()
    assert names_below(record.parent) == ["run"]
    (record / "seal.json").unlink()
    assert names_below(record.parent) == ["run"]


def an_empty_log(folder: Path) -> None:
    (folder / "log.jsonl").touch()


def a_folder_for_a_log(folder: Path) -> None:
    (folder / "log.jsonl").mkdir()


def a_folder_for_a_seal(folder: Path) -> None:
    (folder / "seal.json").mkdir()


def a_link_for_a_log_away(folder: Path) -> None:
    (folder / "log.jsonl").symlink_to("/nowhere")


@pytest.mark.parametrize(
    "put", [an_empty_log, a_folder_for_a_log, a_folder_for_a_seal, a_link_for_a_log_away]
)
def test_what_looks_like_a_record_hides_none_beneath_it(
    record: Path, tmp_path: Path, put: Callable[[Path], None]
) -> None:
    """Whoever can write into the folder could put it there, and every record would be gone."""
    put(tmp_path / "records")
    assert names_below(tmp_path / "records") == [".", "2031/QD-TRN/run"]
    odd = records_below(tmp_path / "records").places[0]
    told = record_of(Noting(Trust()).note(odd))
    assert told.stands == Stands.CANNOT_BE_READ.value


def test_a_record_that_lies_in_another_is_found(record: Path) -> None:
    hold(record / "clips" / "kept")
    hold(record / "copy")
    assert names_below(record.parent) == ["run", "run/clips/kept", "run/copy"]


def test_a_folder_of_task_files_is_no_record(tmp_path: Path) -> None:
    (tmp_path / "task.yaml").write_text("task: a")
    assert names_below(tmp_path) == []


def test_links_are_not_followed_and_are_counted(record: Path, tmp_path: Path) -> None:
    root = tmp_path / "root"
    root.mkdir()
    (root / "away").symlink_to(record)
    (root / "round").symlink_to(root)
    (root / "fifo").mkdir()
    os.mkfifo(root / "fifo" / "pipe")
    found = records_below(root)
    assert (found.places, found.not_followed) == ([], 2)


def test_folders_without_end_have_one(tmp_path: Path) -> None:
    folder = tmp_path
    for _ in range(DEEPEST + 1):
        folder /= "a"
    hold(folder / "run")
    found = records_below(tmp_path)
    assert (found.places, found.not_followed) == ([], 1)


def test_a_name_that_is_no_text_is_a_place_like_any_other(tmp_path: Path) -> None:
    folder = Path(os.fsdecode(os.fsencode(tmp_path) + b"/run-\xff\xfe"))
    hold(folder)
    [place] = records_below(tmp_path).places
    assert place.below == b"run-\xff\xfe"
    assert place.id.isalnum()


def rewritten_with_the_old_time(record: Path) -> None:
    log = record / "log.jsonl"
    before = log.stat()
    log.write_bytes(log.read_bytes().replace(b"pin fitted", b"pin Fitted", 1))
    os.utime(log, ns=(before.st_atime_ns, before.st_mtime_ns))


def a_link_for_the_log(record: Path) -> None:
    (record / "log.jsonl").unlink()
    (record / "log.jsonl").symlink_to("/dev/zero")


CHANGES: dict[str, Callable[[Path], object]] = {
    "an entry more": lambda record: (record / "log.jsonl").open("ab").write(b"{}\n"),
    "another byte and the old time": rewritten_with_the_old_time,
    "no seal": lambda record: (record / "seal.json").unlink(),
    "no task": lambda record: (record / "task.yaml").unlink(),
    "a clip less": lambda record: next((record / "clips").iterdir()).unlink(),
    "another clip": lambda record: next((record / "clips").iterdir()).write_bytes(b"x"),
    "a clip more": lambda record: (record / "clips" / "x.flac").write_bytes(b"x"),
    "a time stamp": lambda record: (record / "seal.tsr").write_bytes(b"x"),
    "another file": lambda record: (record / "note.txt").write_text("x"),
    "a link for the log": a_link_for_the_log,
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_leaves_another_mark(record: Path, change: str) -> None:
    before = mark_of(record)
    assert mark_of(record) == before
    CHANGES[change](record)
    assert mark_of(record) != before


@pytest.mark.parametrize("name", ["log.jsonl", "seal.json", "clips"])
def test_a_pipe_is_not_waited_for(record: Path, name: str) -> None:
    (record / name).rename(record / "away")
    os.mkfifo(record / name)
    assert mark_of(record)


def test_a_folder_that_has_gone_has_a_mark(tmp_path: Path) -> None:
    assert mark_of(tmp_path / "gone")
