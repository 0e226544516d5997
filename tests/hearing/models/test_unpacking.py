"""A package from a stranger writes nothing outside its folder, and not too much inside it."""

import contextlib
import io
import os
import stat
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path, PurePosixPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.models import unpacking
from handsfree.hearing.models.unpacking import (
    Member,
    NotStored,
    PackageBroken,
    PackageUnsafe,
    below_the_one_folder,
    members_of_folder,
    members_of_zip,
    store,
)

SOURCE = Path("model.zip")


def zipped(*names: str, content: bytes = b"abc") -> zipfile.ZipFile:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name in names:
            archive.writestr(zipfile.ZipInfo(name), content)
    return zipfile.ZipFile(stream)


def ignored(_done: int, _whole: int) -> None:
    pass


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("../evil", "leads out of its folder"),
        ("model/../../evil", "leads out of its folder"),
        ("/etc/evil", "leads out of its folder"),
        ("C:/evil", "is not a plain name"),
        ("..\\evil", "is not a plain name"),
        ("model//evil", "is not a plain name"),
        ("./evil", "is not a plain name"),
        ("model/e\nvil", "is not a plain name"),
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(name: str, problem: str) -> None:
    with pytest.raises(PackageUnsafe, match=rf"^model\.zip: .*{problem}\. Nothing was added\."):
        members_of_zip(zipped("model/good", name), SOURCE)


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_a_link_or_device_in_a_zip_is_refused(kind: int) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        entry = zipfile.ZipInfo("model/link")
        entry.create_system = 3  # Unix
        entry.external_attr = (kind | 0o777) << 16
        archive.writestr(entry, "/etc/passwd")
    with pytest.raises(PackageUnsafe, match="'model/link' is a link or a device"):
        members_of_zip(zipfile.ZipFile(stream), SOURCE)


@pytest.mark.parametrize("target", ["/etc/passwd", "good"])
def test_a_link_in_a_folder_is_refused(tmp_path: Path, target: str) -> None:
    (tmp_path / "good").write_bytes(b"abc")
    (tmp_path / "link").symlink_to(target)
    with pytest.raises(PackageUnsafe, match="link is a link or a device"):
        members_of_folder(tmp_path)


def test_a_folder_that_is_a_link_inside_a_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "am").symlink_to("/etc", target_is_directory=True)
    with pytest.raises(PackageUnsafe, match="am is a link or a device"):
        members_of_folder(tmp_path)


def test_a_pipe_in_a_folder_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(PackageUnsafe, match="pipe is a link or a device"):
        members_of_folder(tmp_path)


def test_too_many_files_are_refused() -> None:
    with pytest.raises(PackageUnsafe, match="it has more than 1000 files"):
        members_of_zip(zipped(*(f"model/{n}" for n in range(1001))), SOURCE)


def test_a_zip_that_states_too_much_is_refused_before_anything_is_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(unpacking, "MOST_BYTES", 1_000_000)
    with pytest.raises(PackageUnsafe, match="have 2 MB, and 1 MB are allowed"):
        members_of_zip(zipped("model/large", content=bytes(2_000_000)), SOURCE)


def test_a_file_that_is_larger_than_it_states_is_refused(tmp_path: Path) -> None:
    member = Member(PurePosixPath("a"), 2, lambda: io.BytesIO(b"abc"))
    with pytest.raises(PackageUnsafe, match="a is larger than it states"):
        store(SOURCE, [member], tmp_path, ignored)


def test_a_file_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    member = Member(PurePosixPath("a"), 4, lambda: io.BytesIO(b"abc"))
    with pytest.raises(PackageBroken, match="a is cut short"):
        store(SOURCE, [member], tmp_path, ignored)


@pytest.mark.parametrize(
    ("names", "problem"),
    [
        (("model/a", "model/A"), "two of its files have one name"),
        (("model/a", "model/a/b"), "model/a is a file and a folder"),
        (("model/A", "model/a/b"), "model/a is a file and a folder"),
    ],
)
def test_files_in_each_others_way_are_refused(names: tuple[str, ...], problem: str) -> None:
    with pytest.raises(PackageUnsafe, match=problem):
        members_of_zip(zipped(*names), SOURCE)


def test_an_empty_package_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PackageBroken, match="there is nothing in it"):
        members_of_zip(zipped(), SOURCE)
    with pytest.raises(PackageBroken, match="there is nothing in it"):
        members_of_folder(tmp_path)


def encrypted(data: bytearray) -> None:
    for at in (data.index(b"PK\x03\x04") + 6, data.index(b"PK\x01\x02") + 8):
        data[at] |= 1


def unusual(data: bytearray) -> None:
    for at in (data.index(b"PK\x03\x04") + 8, data.index(b"PK\x01\x02") + 10):
        data[at] = 14  # LZMA


@pytest.mark.parametrize(
    ("change", "problem"), [(encrypted, "is encrypted"), (unusual, "is packed in an unusual way")]
)
def test_what_cannot_be_read_plainly_is_refused(
    change: Callable[[bytearray], None], problem: str
) -> None:
    """Offsets from PKWARE's APPNOTE.TXT, 4.3.7 and 4.3.12."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("model/a", b"abc")
    data = bytearray(stream.getvalue())
    change(data)
    with pytest.raises(PackageUnsafe, match=problem):
        members_of_zip(zipfile.ZipFile(io.BytesIO(data)), SOURCE)


def test_a_changed_byte_in_a_zip_is_found(tmp_path: Path) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("model/a", b"abc")
    data = stream.getvalue().replace(b"abc", b"abd")
    members = members_of_zip(zipfile.ZipFile(io.BytesIO(data)), SOURCE)
    with pytest.raises(PackageBroken, match=r"model/a: Bad CRC-32"):
        store(SOURCE, members, tmp_path, ignored)


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "full").write_bytes(b"")
    member = Member(PurePosixPath("full/a"), 3, lambda: io.BytesIO(b"abc"))
    with pytest.raises(NotStored, match=r"cannot be written there .*HANDSFREE_MODELS"):
        store(SOURCE, [member], tmp_path, ignored)


def test_the_one_folder_of_a_zip_is_taken_off_and_names_it() -> None:
    top, members = below_the_one_folder(members_of_zip(zipped("m-1/am/a", "m-1/b"), SOURCE))
    assert top == "m-1"
    assert [str(each.path) for each in members] == ["am/a", "b"]


def test_files_without_one_folder_stay_as_they_are() -> None:
    top, members = below_the_one_folder(members_of_zip(zipped("am/a", "conf/b"), SOURCE))
    assert top is None
    assert [str(each.path) for each in members] == ["am/a", "conf/b"]


@given(st.sets(st.text("ab./\\:\n ", min_size=1, max_size=8), min_size=1, max_size=4))
def test_whatever_it_is_called_nothing_lands_outside(names: set[str]) -> None:
    with tempfile.TemporaryDirectory() as outer:
        inner = Path(outer) / "inner"
        inner.mkdir()
        with contextlib.suppress(PackageUnsafe, PackageBroken):
            store(SOURCE, members_of_zip(zipped(*names), SOURCE), inner, ignored)
        assert list(Path(outer).iterdir()) == [inner]
