"""Files that fail when they are told to."""

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from tests.record.runs import NoSync

_T = TypeVar("_T")


class FaultyFiles(NoSync):
    """Fails at one call, counted from 0, and at every one after it where the fault lasts.

    A write that fails has put half of its bytes on disk before, if `partial`.
    """

    def __init__(
        self, at: int | None, error: int = errno.EIO, *, partial: bool = False, lasts: bool = True
    ) -> None:
        self.calls: list[str] = []
        self._at = at
        self._error = error
        self._partial = partial
        self._lasts = lasts

    @property
    def has_failed(self) -> bool:
        return self._at is not None and len(self.calls) > self._at

    def _fails(self, call: str) -> bool:
        self.calls.append(call)
        number = len(self.calls) - 1
        return self._at is not None and (number >= self._at if self._lasts else number == self._at)

    def _call(self, name: str, does: Callable[[], _T]) -> _T:
        if self._fails(name):
            raise OSError(self._error, os.strerror(self._error))
        return does()

    def make_folder(self, path: Path) -> None:
        self._call("make_folder", lambda: super(FaultyFiles, self).make_folder(path))

    def create(self, path: Path) -> int:
        return self._call("create", lambda: super(FaultyFiles, self).create(path))

    def open_to_append(self, path: Path) -> int:
        return self._call("open_to_append", lambda: super(FaultyFiles, self).open_to_append(path))

    def open_to_write_over(self, path: Path, at: int) -> int:
        return self._call(
            "open_to_write_over", lambda: super(FaultyFiles, self).open_to_write_over(path, at)
        )

    def lock(self, descriptor: int) -> None:
        self._call("lock", lambda: super(FaultyFiles, self).lock(descriptor))

    def write(self, descriptor: int, content: bytes) -> int:
        if self._fails("write"):
            if self._partial:
                os.write(descriptor, content[: len(content) // 2])
            raise OSError(self._error, os.strerror(self._error))
        return os.write(descriptor, content)

    def sync(self, descriptor: int) -> None:
        self._call("sync", lambda: None)

    def truncate(self, descriptor: int, size: int) -> None:
        self._call("truncate", lambda: os.ftruncate(descriptor, size))

    def rename(self, old: Path, new: Path) -> None:
        self._call("rename", lambda: super(FaultyFiles, self).rename(old, new))

    def remove(self, path: Path) -> None:
        self._call("remove", lambda: super(FaultyFiles, self).remove(path))

    def sync_folder(self, path: Path) -> None:
        self._call("sync_folder", lambda: None)
