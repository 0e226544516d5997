"""The recordings from outside are there once, however many processes unpack them."""

import tarfile
from pathlib import Path

import pytest

from tests.speech_data import unpack

DATA = "pocketsphinx-5.1.1/test/data"


def archive_with(folder: Path, name: str) -> Path:
    (folder / "clip.raw").write_bytes(b"sound")
    archive = folder / "archive.tar.gz"
    with tarfile.open(archive, "w:gz") as tar:
        tar.add(folder / "clip.raw", name)
    return archive


def test_who_unpacks_last_finds_them_there_and_leaves_nothing_behind(tmp_path: Path) -> None:
    """A folder cannot be moved to where another one is that holds something: rename(2)."""
    archive = archive_with(tmp_path, f"{DATA}/clip.raw")
    cache = tmp_path / "cache"
    cache.mkdir()
    for _ in range(2):
        unpack(archive, cache)
        assert (cache / DATA / "clip.raw").read_bytes() == b"sound"
        assert [each.name for each in cache.iterdir()] == ["pocketsphinx-5.1.1"]


def test_an_archive_without_recordings_is_told(tmp_path: Path) -> None:
    archive = archive_with(tmp_path, "pocketsphinx-5.1.1/README.md")
    with pytest.raises(FileNotFoundError):
        unpack(archive, tmp_path)
