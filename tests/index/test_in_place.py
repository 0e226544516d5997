"""A link that is put into the folder between the look and the reading leads nowhere."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from handsfree.files.plain import NotPlain, open_plain, plain_bytes
from handsfree.index import noting, one_record
from handsfree.index.folders import Place, mark_of
from handsfree.index.in_place import LedElsewhere, in_place
from handsfree.index.noting import Noting, Trust
from handsfree.index.one_record import page_of_record, sound_of_record
from handsfree.index.tables import Stands
from handsfree.record import entries
from handsfree.record.chain import lines_in, read_chain
from handsfree.record.entries import NoRecord, RecordUnreadable, read_entries
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.index.shelf import collected, record_of
from tests.record.runs import hold

RUN = "year/run"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    hold(tmp_path / "root" / "year" / "run")
    hold(tmp_path / "elsewhere" / "run")
    return tmp_path / "root"


def swap(folder: Path, elsewhere: Path) -> None:
    """Put a link in the place of the folder, as somebody could at any moment."""
    folder.rename(folder.with_name("away"))
    folder.symlink_to(elsewhere)


def swapped_before(does: Callable[..., Any], folder: Path, elsewhere: Path) -> Callable[..., Any]:
    def swapping(*given: Any) -> Any:
        if not folder.is_symlink():
            swap(folder, elsewhere)
        return does(*given)

    return swapping


@pytest.mark.parametrize("swapped", ["year/run", "year"])
def test_a_record_that_is_swapped_while_it_is_read_is_not_noted_as_this_one(
    root: Path, monkeypatch: pytest.MonkeyPatch, swapped: str
) -> None:
    elsewhere = root.parent / "elsewhere"
    other = elsewhere / "run" if swapped == RUN else elsewhere
    monkeypatch.setattr(noting, "verify", swapped_before(verify, root / swapped, other))
    row = record_of(Noting(Trust()).note(Place(RUN.encode(), root / RUN)))
    assert row.stands == Stands.CANNOT_BE_READ.value
    assert "was put in the place of another folder while that was read" in row.why


def test_a_record_that_is_swapped_while_its_page_is_made_has_no_page(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with collected(root, tmp_path / "index") as served:
        row = served._store.cursor().record(Place(RUN.encode(), root / RUN).id)
        assert row is not None
        elsewhere = tmp_path / "elsewhere" / "run"
        monkeypatch.setattr(one_record, "verify", swapped_before(verify, root / RUN, elsewhere))
        with pytest.raises(LedElsewhere, match=r"while that was read\. Look who put it there"):
            page_of_record(served, row)
        with pytest.raises(LedElsewhere, match="is a link, and is not followed"):
            page_of_record(served, row)


@pytest.mark.parametrize("name", ["log.jsonl", "task.yaml"])
def test_a_file_that_becomes_a_link_after_the_look_is_not_read(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """The look is left out here: it is as if it had been over a moment before."""
    (root / RUN / name).unlink()
    (root / RUN / name).symlink_to(tmp_path / "elsewhere" / "run" / name)
    monkeypatch.setattr(entries, "refuse_what_is_not_plain", lambda _: None)
    monkeypatch.setattr("handsfree.record.task_file.refuse_what_is_not_plain", lambda _: None)
    if name == "task.yaml":
        for read in (read_task_of, noting.read_task_of):
            with pytest.raises(NoRecord):
                read(root / RUN)
        return
    for does in (lambda folder: list(read_entries(folder)), read_chain, lines_in):
        with pytest.raises(RecordUnreadable, match="is a symbolic link, and is not followed"):
            does(root / RUN)


def test_a_sound_behind_a_link_is_not_played(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = next((root / RUN / "clips").iterdir())
    monkeypatch.setattr(one_record, "refuse_what_is_not_plain", lambda _: None)
    with collected(root, tmp_path / "index") as served:
        row = served._store.cursor().record(Place(RUN.encode(), root / RUN).id)
        assert row is not None
        assert sound_of_record(served, row, clip.stem)
        clip.rename(tmp_path / "sound")
        clip.symlink_to(tmp_path / "sound")
        assert sound_of_record(served, row, clip.stem) is None


def test_a_link_is_no_plain_file_where_none_is_followed(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "link").symlink_to(tmp_path / "file")
    assert plain_bytes(tmp_path / "link") == b"mine"
    with pytest.raises(NotPlain, match="is a symbolic link, and is not followed"):
        open_plain(tmp_path / "link", follow=False)


def test_a_folder_that_has_gone_is_no_record(root: Path) -> None:
    with pytest.raises(NoRecord), in_place(root, b"year/gone"):
        pass
    with pytest.raises(NoRecord), in_place(root, RUN.encode()) as folder:
        folder.rename(folder.with_name("away"))
    assert mark_of(root / RUN)
