"""What a run listens with where a model cannot be used, and what is said of it."""

import hashlib
import logging
from pathlib import Path

import pytest

from handsfree.hearing.listeners import READER
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.transcriber import Transcriber
from handsfree.places import shipped_models


def folder_with_reader(folder: Path, **contents: bytes | None) -> None:
    """Make `folder` a models folder; `contents` go in the place of the reader's files, or none.

    Its catalogue names the files by what they hold now, so that only what they are is wrong.
    """
    (folder / READER).mkdir()
    catalogue = (shipped_models() / "catalogue.toml").read_text(encoding="utf-8")
    for name, sha256 in read_catalogue().entry(READER).sha256.items():
        original = (shipped_models() / READER / name).read_bytes()
        content = contents.get(Path(name).stem, original)
        if content is not None:
            (folder / READER / name).write_bytes(content)
            catalogue = catalogue.replace(sha256, hashlib.sha256(content).hexdigest())
    (folder / "catalogue.toml").write_text(catalogue, encoding="utf-8")


def one_line_of_falling_back(caplog: pytest.LogCaptureFixture) -> str:
    """What `open_recognizer` says when it does without the reader."""
    with caplog.at_level(logging.WARNING):
        recognizer = open_recognizer()
    assert isinstance(recognizer, Transcriber)
    [line] = caplog.messages
    assert line.endswith("Listening with whisper-tiny.en-int8 alone.")
    return line


def test_without_a_reader_whisper_listens_alone_and_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    folder_with_reader(tmp_path, reader=None)
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    line = one_line_of_falling_back(caplog)
    assert "reader.onnx cannot be read (No such file or directory)" in line
    assert "git checkout -- models/reader" in line


def test_a_truncated_reader_is_not_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    folder_with_reader(tmp_path)
    network = tmp_path / READER / "reader.onnx"
    network.write_bytes(network.read_bytes()[:-1])
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    line = one_line_of_falling_back(caplog)
    assert "reader.onnx has SHA-256" in line
    assert "git checkout -- models/reader" in line


@pytest.mark.parametrize(
    ("contents", "says"),
    [
        ({"reader": b"junk"}, "reader.onnx is no network"),
        ({"reader": b""}, "reader.onnx is no network"),
        ({"characters": b"abc"}, "characters.json is not JSON"),
        ({"characters": b"7"}, "characters.json is not a list of characters"),
        ({"characters": b'["", "a", "b"]'}, "does not fit a reader of 3 characters"),
    ],
    ids=["junk", "empty", "not JSON", "not a list", "wrong shape"],
)
def test_a_reader_of_another_kind_is_not_used(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    contents: dict[str, bytes],
    says: str,
) -> None:
    folder_with_reader(tmp_path, **contents)
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    line = one_line_of_falling_back(caplog)
    assert says in line
    assert "Check out models/reader and handsfree from the same commit." in line
