"""What is written is there whole, or there is nothing, and what was there before."""

import errno
import resource
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from handsfree.authoring.new_file import TaskFileNotWritten, write_new
from handsfree.cli.app import main
from handsfree.files.whole import replace_file, write_new_files
from handsfree.record.keys import NAME, Keys, KeysExist, KeysUnusable, load_keys, new_keys
from tests.shipped_tasks import FOLDER


@contextmanager
def disk_with_room_for(size: int) -> Iterator[None]:
    """No file can be made longer than this, as by `ulimit -f`; writing more gives EFBIG (POSIX)."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    # Python keeps what it compiled of a module that is imported now, and a part of it would stay in
    # place of the whole.
    keeps, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        sys.dont_write_bytecode = keeps


def left(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def test_files_are_written_all_or_none(tmp_path: Path) -> None:
    files = [(tmp_path / "a", b"short"), (tmp_path / "b", b"longer than there is room for")]
    with disk_with_room_for(10), pytest.raises(OSError, match="File too large"):
        write_new_files(files)
    assert left(tmp_path) == []
    write_new_files(files)
    assert left(tmp_path) == ["a", "b"]


def test_a_file_that_is_there_is_kept_and_none_is_written_beside_it(tmp_path: Path) -> None:
    (tmp_path / "b").write_bytes(b"mine")
    with pytest.raises(FileExistsError):
        write_new_files([(tmp_path / "a", b"new"), (tmp_path / "b", b"new")])
    assert left(tmp_path) == ["b"]
    assert (tmp_path / "b").read_bytes() == b"mine"


def test_a_file_is_replaced_whole_or_stays_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_bytes(b"before")
    with disk_with_room_for(10), pytest.raises(OSError, match="File too large"):
        replace_file(path, b"longer than there is room for")
    assert path.read_bytes() == b"before"
    replace_file(path, b"after")
    assert (left(tmp_path), path.read_bytes()) == (["page.html"], b"after")


def test_a_folder_without_hard_links_holds_new_files_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")  # link(2), of such a file system

    monkeypatch.setattr("os.link", refused)
    write_new_files([(tmp_path / "a", b"content")])
    assert (tmp_path / "a").read_bytes() == b"content"
    with pytest.raises(FileExistsError):
        write_new_files([(tmp_path / "a", b"other")])
    assert (left(tmp_path), (tmp_path / "a").read_bytes()) == (["a"], b"content")


def test_a_key_is_made_whole_or_not_at_all(tmp_path: Path) -> None:
    """On a disk with room for its name and not for it; afterwards it can be made."""
    with disk_with_room_for(60), pytest.raises(KeysUnusable, match="File too large"):
        new_keys(tmp_path / "keys", "Ines Varga")
    assert left(tmp_path) == []
    assert load_keys_made(tmp_path / "keys").name == "Ines Varga"
    assert {each.stat().st_mode & 0o777 for each in (tmp_path / "keys").iterdir()} == {0o600}


def load_keys_made(folder: Path) -> Keys:
    new_keys(folder, "Ines Varga")
    return load_keys(folder)


def test_a_name_that_a_loss_of_power_left_is_no_key(tmp_path: Path) -> None:
    (tmp_path / NAME).write_text("Somebody\n")
    new_keys(tmp_path, "Ines Varga")
    assert load_keys(tmp_path).name == "Ines Varga"
    with pytest.raises(KeysExist):
        new_keys(tmp_path, "Somebody")


def test_a_new_task_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    with disk_with_room_for(10), pytest.raises(TaskFileNotWritten, match="File too large"):
        write_new(tmp_path / "new.yaml", "longer than there is room for")
    assert left(tmp_path) == []


MODULE = FOLDER / "DMC-QUILLANE40-A-29-30-00-00A-214A-A_002-00_EN-GB.xml"


@pytest.mark.parametrize(
    "words",
    [
        lambda to: ("new", to / "new.yaml"),
        lambda to: ("import", MODULE, "--to", to / "new.yaml"),
        lambda to: ("show", FOLDER / "accumulator-nitrogen.yaml", "--html", to / "page.html"),
        lambda to: ("tasks", "copy", "door-slide-refit", to),
        lambda to: ("keys", "new", "--name", "Ines Varga", "--keys", to / "keys"),
    ],
    ids=["new", "import", "show", "copy", "keys"],
)
def test_a_command_leaves_nothing_where_there_is_no_room(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: Callable[[Path], tuple[object, ...]],
) -> None:
    monkeypatch.setattr("sys.argv", ["handsfree", *map(str, words(tmp_path))])
    with pytest.raises(SystemExit) as ended, disk_with_room_for(60):
        main()
    assert ended.value.code == 2
    problem = capsys.readouterr().err
    assert "File too large" in problem
    assert problem.count("\n") == 1
    assert left(tmp_path) == []
