"""The folder of a record, and that it stays where it is while it is read.

Between the look and the reading, somebody who may write in the folder of all records could put a
link in the place of a folder, and have what lies elsewhere shown as a record of this collection.
"""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.record.entries import NoRecord, RecordUnreadable


class LedElsewhere(HandsfreeError):
    """A folder on the way to a record is not one any more, or another one than a moment ago."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(f"{path}: {what}. Look who put it there.")


@contextmanager
def in_place(root: Path, below: bytes) -> Iterator[Path]:
    """The folder at `below` in `root`, and at the end a second look whether it still is that one.

    No name below `root` is followed if it is a link. What is read in between is believed only if
    this ends without an error; who puts a folder away and back again in that time is not noticed,
    so the files in it are opened without following links as well. Raises LedElsewhere, NoRecord or
    RecordUnreadable.
    """
    folder, held = root, _opened(root, None)
    try:
        for name in Path(os.fsdecode(below)).parts:
            folder /= name
            inside = _opened(folder, held)
            os.close(held)
            held = inside
        try:
            yield folder
        finally:
            _look_again(folder, held)
    finally:
        os.close(held)


def _opened(folder: Path, inside: int | None) -> int:
    """The folder, open; inside of another that is open no link is followed."""
    flags = os.O_RDONLY | os.O_DIRECTORY
    try:
        if inside is None:
            return os.open(folder, flags)
        return os.open(folder.name, flags | os.O_NOFOLLOW, dir_fd=inside)
    except OSError as error:
        if folder.is_symlink() and error.errno in (errno.ELOOP, errno.ENOTDIR):
            raise LedElsewhere(folder, "is a link, and is not followed") from error
        if isinstance(error, FileNotFoundError | NotADirectoryError):
            raise NoRecord(folder) from error
        raise RecordUnreadable(folder, error) from error


def _look_again(folder: Path, held: int) -> None:
    try:
        now = folder.stat()
    except OSError as error:
        raise NoRecord(folder) from error
    if not os.path.samestat(now, os.fstat(held)):
        raise LedElsewhere(folder, "was put in the place of another folder while that was read")
