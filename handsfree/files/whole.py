"""A file is written whole or not at all, be the disk full or the power lost."""

import errno
import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

# What a folder on some other system, such as a memory stick, says where it has no hard links.
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK)


def write_new_files(files: Iterable[tuple[Path, bytes]], mode: int = 0o666) -> None:
    """Write files that are not there yet, all of them or none, in the order given.

    Raises OSError, FileExistsError where one is there; then there is none of them. Only a loss of
    power can leave the first ones without the rest, each of them whole.
    """
    staged: list[tuple[Path, Path]] = []
    done: list[Path] = []
    try:
        for path, content in files:
            part = _part(path)
            staged.append((part, path))
            _written(part, content, mode)
        for part, path in staged:
            _named(part, path)
            done.append(path)
        for folder in {path.parent for path in done}:
            _sync(folder)
    except BaseException:
        for path in done:
            path.unlink(missing_ok=True)
        raise
    finally:
        for part, _ in staged:
            with suppress(OSError):
                part.unlink(missing_ok=True)


def replace_file(path: Path, content: bytes) -> None:
    """Write a file, or put it in the place of the one that is there; raises OSError."""
    part = _part(path)
    try:
        _written(part, content, 0o666)
        part.replace(path)
        _sync(path.parent)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _part(path: Path) -> Path:
    """A name beside it that nobody else has; short, for `path` may be as long as a name can be."""
    return path.with_name(f".part-{secrets.token_hex(8)}")


def _written(path: Path, content: bytes, mode: int) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _named(part: Path, path: Path) -> None:
    try:
        os.link(part, path)  # fails where there is something; a rename would write over it
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if path.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from error
        part.rename(path)


def _sync(folder: Path) -> None:
    """What a folder holds is on disk only once the folder is."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
