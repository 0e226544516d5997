"""Nothing in a record leads out of it, and nothing in it makes a reader wait for ever."""

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.record.entries import EntryUnreadable, read_entries
from handsfree.record.keys import Keys
from handsfree.record.plain import NotPlain, TooLarge
from handsfree.record.record import Record
from handsfree.record.redact import redact
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.record.runs import Clock, NoSync, hold
from tests.record.test_redact import OTHER

READERS: dict[str, Callable[[Path], object]] = {
    "verify": verify,
    "read entries": lambda folder: list(read_entries(folder)),
    "read task": read_task_of,
    "redact": lambda folder: redact(folder, "over", OTHER, Clock().utc, files=NoSync()),
    "go on": lambda folder: Record.go_on(folder, Clock().utc, Clock().since_start, _NOBODY),
}
_NOBODY: Keys | None = None
NAMES = ("log.jsonl", "seal.json", "task.yaml", "seal.tsr", "log.torn")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@pytest.mark.parametrize("name", NAMES)
def test_a_pipe_in_a_record_is_named_and_not_waited_for(
    record: Path, name: str, reader: Callable[[Path], object]
) -> None:
    (record / name).unlink(missing_ok=True)
    os.mkfifo(record / name)
    with pytest.raises(NotPlain, match=f"{name}: is a pipe; a record holds only plain files"):
        reader(record)


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_a_link_to_an_endless_device_is_not_followed(
    record: Path, reader: Callable[[Path], object]
) -> None:
    clip = next((record / "clips").iterdir())
    clip.unlink()
    clip.symlink_to("/dev/zero")
    with pytest.raises(NotPlain, match="is a symbolic link"):
        reader(record)


def test_redaction_removes_nothing_outside_the_record(record: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    (record / "clips").rename(elsewhere)
    (record / "clips").symlink_to(elsewhere)
    before = sorted(elsewhere.iterdir())
    log = (record / "log.jsonl").read_bytes()
    with pytest.raises(NotPlain, match="clips: is a symbolic link"):
        redact(record, "over", OTHER, Clock().utc, files=NoSync())
    assert sorted(elsewhere.iterdir()) == before
    assert (record / "log.jsonl").read_bytes() == log


def test_a_record_may_be_named_by_a_link(record: Path, tmp_path: Path) -> None:
    (tmp_path / "name").symlink_to(record)
    assert verify(tmp_path / "name").problems == ()


def test_the_name_of_what_is_refused_does_not_act_on_a_terminal(record: Path) -> None:
    (record / "clips" / "a\x1b[2J\nall as written").symlink_to("/dev/zero")
    with pytest.raises(NotPlain, match=r"a\\x1b\[2J all as written: is") as refused:
        verify(record)
    assert str(refused.value).isprintable()


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@pytest.mark.parametrize("name", ["log.jsonl", "task.yaml", "seal.json", "seal.tsr"])
def test_a_file_that_is_too_large_to_read_is_named_and_not_read(
    record: Path, name: str, reader: Callable[[Path], object]
) -> None:
    with (record / name).open("ab") as file:
        file.truncate(1 << 40)  # sparse: it takes no room
    with pytest.raises(TooLarge, match=f"{name}: is larger than"):
        reader(record)


def test_sound_without_bounds_is_not_read(record: Path) -> None:
    with next((record / "clips").iterdir()).open("ab") as file:
        file.truncate(1 << 40)
    with pytest.raises(TooLarge, match="clips: is larger than"):
        verify(record)


def test_a_line_that_never_ends_is_no_entry(record: Path) -> None:
    entries = verify(record).entries
    with (record / "log.jsonl").open("ab") as file:
        file.truncate(1 << 28)
    found = verify(record)
    assert found.problems[0].where == f"log.jsonl, entry {entries}"
    with pytest.raises(EntryUnreadable, match="it is longer than 32 MB"):
        list(read_entries(record))


def test_folders_in_folders_without_end_are_looked_at(
    record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(record)
    try:
        for _ in range(1500):  # deeper than Python calls itself
            Path("a").mkdir()
            os.chdir("a")
        os.mkfifo("pipe")
        os.chdir(record.parent)
        with pytest.raises(NotPlain, match="pipe: is a pipe"):
            verify(record)
    finally:
        # Python cannot remove what is so deep.
        subprocess.run(["rm", "-rf", record / "a"], check=True)
