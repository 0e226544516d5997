"""Records are read and never written; what is wrong with one is named, and nothing followed."""

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.record.clips import encode_flac, name_of, path_of
from handsfree.record.entries import LoggedEntry
from handsfree.record.redact import redact
from handsfree.record.replay import Difference, Turn, replay
from handsfree.rehear import moments
from handsfree.task.model import Task
from tests.record.runs import KEYS, Clock, NoSync, lines_of
from tests.rehear.records import RIGHT, hold, reheard, sound

pytestmark = pytest.mark.usefixtures("ears")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    return hold(tmp_path / "run")


def content_of(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {
        str(each): (each.read_bytes(), each.stat().st_mtime_ns)
        for each in sorted(folder.rglob("*"))
        if each.is_file()
    }


def test_nothing_is_written_into_a_record(record: Path) -> None:
    before = content_of(record)
    assert reheard(record).clips == len(RIGHT)
    assert content_of(record) == before


def test_a_record_can_be_heard_without_leave_to_write_it(record: Path) -> None:
    for each in (record, record / "clips"):
        each.chmod(0o555)
    try:
        assert reheard(record).clips == len(RIGHT)
    finally:
        for each in (record, record / "clips"):
            each.chmod(0o755)


def clip(record: Path, said: str = "six five") -> Path:
    return path_of(record, name_of(encode_flac(sound(said))))


def without_clip(record: Path) -> None:
    clip(record).unlink()


def other_clip(record: Path) -> None:
    clip(record).write_bytes(clip(record, "left side").read_bytes())


def no_sound(record: Path) -> None:
    clip(record).write_bytes(b"no sound")


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (without_clip, "is missing"),
        (other_clip, "is not the sound that was heard"),
        (no_sound, "is not the sound that was heard"),
    ],
)
def test_a_clip_that_is_gone_or_another_one_is_named_and_the_others_are_heard(
    record: Path, spoil: Callable[[Path], None], why: str
) -> None:
    named = clip(record)
    spoil(record)
    found = reheard(record)
    (problem,) = found.problems
    assert problem.startswith(f"{named}: {why} (entry ")
    assert problem.endswith("'handsfree verify' tells all that is wrong with the record.")
    assert (found.clips, found.exit_code) == (len(RIGHT) - 1, 1)


def test_sound_that_was_removed_and_that_told_is_no_problem(record: Path) -> None:
    redact(record, "over", KEYS, Clock().utc, files=NoSync())
    found = reheard(record)
    assert (found.clips, found.redacted, found.problems) == (0, len(RIGHT), [])
    assert found.exit_code == 0


def changed_line(record: Path) -> None:
    lines = lines_of(record)
    lines[5] = lines[5].replace(b'"', b"'", 1)
    (record / "log.jsonl").write_bytes(b"".join(lines))


def another_task(record: Path) -> None:
    path = record / "task.yaml"
    path.write_text(path.read_text().replace("max: 70", "max: 90"))


def no_task(record: Path) -> None:
    (record / "task.yaml").unlink()


def empty_log(record: Path) -> None:
    (record / "log.jsonl").write_bytes(b"")


def pipe(record: Path) -> None:
    clip(record).unlink()
    os.mkfifo(record / "clips" / "a.flac")


def link(record: Path) -> None:
    clip(record).unlink()
    (record / "clips" / "a.flac").symlink_to("/etc/passwd")


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (changed_line, "log.jsonl, entry 5 is no entry: it was changed or damaged. Nothing of it"),
        (another_task, "task.yaml is not the task that the record was opened with. Nothing of it"),
        (no_task, "no record there"),
        (empty_log, "log.jsonl is empty. Nothing of it was heard anew"),
        (pipe, "is a pipe; a record holds only plain files and folders"),
        (link, "is a symbolic link; a record holds only plain files and folders"),
    ],
)
def test_a_damaged_record_is_named_and_the_next_one_is_heard(
    record: Path, tmp_path: Path, spoil: Callable[[Path], None], why: str
) -> None:
    spoil(record)
    whole = hold(tmp_path / "whole")
    found = reheard(record, whole)
    (problem,) = found.problems
    assert why in problem
    assert problem.startswith(str(record))
    assert (found.records, found.clips) == (1, len(RIGHT))


def test_a_folder_without_a_record_is_told_and_is_misuse(tmp_path: Path) -> None:
    found = reheard(tmp_path / "none")
    assert "none: no record there (log.jsonl and task.yaml)" in found.problems[0]
    assert found.exit_code == 2


def test_from_where_the_engine_decides_otherwise_nothing_is_heard(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def differing(task: Task, entries: Iterable[LoggedEntry]) -> Iterator[Turn]:
        for number, turn in enumerate(replay(task, entries)):
            differs = (Difference(17, None, None),) if number == 6 else ()
            yield replace(turn, differences=differs)

    monkeypatch.setattr(moments, "replay", differing)
    found = reheard(record)
    assert 0 < found.clips < len(RIGHT)
    assert "from entry 17 on this version of handsfree decides otherwise" in found.problems[0]
    assert found.exit_code == 1
