"""The log of a run: append only, one canonical JSON entry a line, on disk before it is answered."""

import os
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Self

import rfc8785

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.record.clips import KeptClip, encode_flac, name_of, path_of
from handsfree.record.values import Json, fields_of, kind_of

UtcClock = Callable[[], datetime]  # aware, UTC
Stopwatch = Callable[[], timedelta]  # monotonic, from the start of the run


class RecordExists(HandsfreeError):
    """The folder is not free for a new record."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: something is there already, and a record is never written over. "
            "Name another folder with --record."
        )


class RecordNotWritten(HandsfreeError):
    """The record cannot be written; nothing more may be acknowledged."""

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: cannot be written ({error.strerror}). The task stops here, for nothing "
            "more could be proved. What was acknowledged before is on the record."
        )


class Record:
    """A record that is being written: `log.jsonl`, `task.yaml` and `clips/` in one new folder."""

    def __init__(
        self, folder: Path, task_text: str, utc_now: UtcClock, since_start: Stopwatch
    ) -> None:
        """Begin in `folder`, which must be new or empty.

        Raises RecordExists, or RecordNotWritten if the folder cannot be made.
        """
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise RecordExists(folder)
        self.folder = folder
        self._utc_now = utc_now
        self._since_start = since_start
        self._next = 0
        try:
            (folder / "clips").mkdir(parents=True)
            _write_through(folder / "task.yaml", task_text.encode())
            self._file = (folder / "log.jsonl").open("xb", buffering=0)
            _sync_folder(folder)
        except OSError as error:
            raise RecordNotWritten(folder, error) from error

    def append(self, value: object, **more: Json) -> None:
        """Write a dataclass value as the next entry and return when it is on disk.

        Raises RecordNotWritten; the caller must then acknowledge nothing more.
        """
        entry: dict[str, Json] = {
            **fields_of(value),
            **more,
            "seq": self._next,
            "kind": kind_of(value),
            "utc": self._utc_now().isoformat(timespec="milliseconds"),
            "offset_ms": round(self._since_start() / timedelta(milliseconds=1)),
        }
        try:
            _write_whole(self._file.fileno(), rfc8785.dumps(entry) + b"\n")
            os.fsync(self._file.fileno())
        except OSError as error:
            raise RecordNotWritten(self.folder / "log.jsonl", error) from error
        self._next += 1

    def keep_clip(self, audio: Audio) -> KeptClip:
        """Keep the sound of an utterance; raises RecordNotWritten."""
        content = encode_flac(audio)
        clip = KeptClip(name_of(content))
        path = path_of(self.folder, clip.sha256)
        try:
            if not path.exists():
                _write_through(path, content)
                _sync_folder(path.parent)
        except OSError as error:
            raise RecordNotWritten(path, error) from error
        return clip

    def close(self) -> None:
        """Let go of the file; every entry is on disk already."""
        self._file.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _write_through(path: Path, content: bytes) -> None:
    with path.open("xb", buffering=0) as file:
        _write_whole(file.fileno(), content)
        os.fsync(file.fileno())


def _write_whole(descriptor: int, content: bytes) -> None:
    while content:  # the operating system may take less than it was given
        content = content[os.write(descriptor, content) :]


def _sync_folder(folder: Path) -> None:
    """Make new names in `folder` durable, not only the contents of the files."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
