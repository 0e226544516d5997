"""The one door for the bytes of a file that somebody gave: a plain file, up to a size.

Reading a pipe or a device may never end, and a file can be larger than the memory. What is wrong is
told as an OSError, for whoever reads has an error of their own that says what to do.
"""

import errno
import os
import stat
from io import BufferedReader
from pathlib import Path

# A file that a person writes by hand is far below it; a task file is bounded more closely.
LARGEST_BYTES = 16_000_000
# What is read piece by piece: a log, a clip, a model. A log of a whole day has some megabytes.
LARGEST_STREAM_BYTES = 1 << 30


class NotPlain(OSError):
    """A pipe, a device or a socket, or more than is read."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(errno.EINVAL, why, str(path))


def open_plain(
    path: Path, most: int = LARGEST_STREAM_BYTES, *, follow: bool = True
) -> BufferedReader:
    """The file, open for reading bytes; raises OSError.

    NotPlain is raised where it is no plain file, or has more than `most` bytes. With `follow` false
    a link is no plain file either, even if it was put there a moment ago.
    """
    # Without waiting, for opening a pipe that nobody writes into waits for ever.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    if not follow:
        flags |= getattr(os, "O_NOFOLLOW", 0)
    try:
        descriptor = os.open(path, flags)
    except ValueError as error:  # a name with a null character, or of half a surrogate pair
        raise OSError(errno.EINVAL, str(error), str(path)) from error
    except OSError as error:
        if error.errno == errno.ELOOP and not follow:
            raise NotPlain(path, "is a symbolic link, and is not followed") from error
        raise
    try:
        status = os.fstat(descriptor)
        if stat.S_ISDIR(status.st_mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        if not stat.S_ISREG(status.st_mode):
            raise NotPlain(path, "is no plain file")
        if status.st_size > most:
            raise _too_large(path, most)
    except OSError:
        os.close(descriptor)
        raise
    return os.fdopen(descriptor, "rb")


def plain_bytes(path: Path, most: int = LARGEST_BYTES, *, follow: bool = True) -> bytes:
    """All bytes of a plain file; raises OSError, NotPlain where there are more than `most`."""
    with open_plain(path, most, follow=follow) as file:
        content = file.read(most + 1)
    if len(content) > most:  # it has grown, or its size was not known
        raise _too_large(path, most)
    return content


def _too_large(path: Path, most: int) -> NotPlain:
    return NotPlain(path, f"is larger than {most / 10**6:g} MB")
