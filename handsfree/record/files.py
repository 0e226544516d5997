"""What a record asks of a file system, in one place, so that a test can make each call fail."""

import fcntl
import os
from pathlib import Path
from typing import Protocol


class Files(Protocol):
    """Calls of the operating system that change a record. Each may raise OSError."""

    def make_folder(self, path: Path) -> None:
        """Make the folder and those above it; one that is there already is fine."""

    def create(self, path: Path) -> int:
        """Open a new file for writing; raises FileExistsError."""

    def open_to_append(self, path: Path) -> int:
        """Open a file that is there; what is written goes to its end."""

    def open_to_write_over(self, path: Path, at: int) -> int:
        """Open a file that is there; what is written takes the place of what stands from `at`."""

    def lock(self, descriptor: int) -> None:
        """Keep all other writers off until it is closed; raises BlockingIOError if one is there."""

    def write(self, descriptor: int, content: bytes) -> int:
        """Write some of `content`, and say how much."""

    def sync(self, descriptor: int) -> None:
        """Return when the file is on disk."""

    def truncate(self, descriptor: int, size: int) -> None:
        """Cut the file to this many bytes."""

    def close(self, descriptor: int) -> None:
        """Let go of the file."""

    def rename(self, old: Path, new: Path) -> None:
        """Give `old` the name `new` at one stroke; what was there before is gone."""

    def remove(self, path: Path) -> None:
        """Remove the file; one that is not there is fine."""

    def sync_folder(self, path: Path) -> None:
        """Make new names in the folder durable, not only the contents of the files."""


class SystemFiles:
    """The operating system's own files (POSIX)."""

    def make_folder(self, path: Path) -> None:
        """`mkdir -p`."""
        path.mkdir(parents=True, exist_ok=True)

    def create(self, path: Path) -> int:
        """`O_EXCL`: never over something that is there."""
        return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND, 0o666)

    def open_to_append(self, path: Path) -> int:
        """`O_APPEND`, without making the file."""
        return os.open(path, os.O_WRONLY | os.O_APPEND)

    def open_to_write_over(self, path: Path, at: int) -> int:
        """Without `O_APPEND`, under which a write ignores where it is."""
        descriptor = os.open(path, os.O_WRONLY)
        os.lseek(descriptor, at, os.SEEK_SET)
        return descriptor

    def lock(self, descriptor: int) -> None:
        """`flock`: the kernel lets go of it when the process ends, however it ends."""
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def write(self, descriptor: int, content: bytes) -> int:
        """`write`."""
        return os.write(descriptor, content)

    def sync(self, descriptor: int) -> None:
        """`fsync`."""
        os.fsync(descriptor)

    def truncate(self, descriptor: int, size: int) -> None:
        """`ftruncate`."""
        os.ftruncate(descriptor, size)

    def close(self, descriptor: int) -> None:
        """`close`."""
        os.close(descriptor)

    def rename(self, old: Path, new: Path) -> None:
        """`rename`."""
        old.replace(new)

    def remove(self, path: Path) -> None:
        """`unlink`."""
        path.unlink(missing_ok=True)

    def sync_folder(self, path: Path) -> None:
        """`fsync` of the folder."""
        descriptor = os.open(path, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


PART = ".part"  # the end of a name that is not given yet; a crash can leave one


def write_whole(files: Files, descriptor: int, content: bytes) -> None:
    """Write all of `content`: the operating system may take less than it was given."""
    while content:
        content = content[files.write(descriptor, content) :]


def put(files: Files, path: Path, content: bytes) -> None:
    """Put a whole file in place, durably: at every moment it is the old one or the new one."""
    part = path.with_name(path.name + PART)
    files.remove(part)
    descriptor = files.create(part)
    try:
        write_whole(files, descriptor, content)
        files.sync(descriptor)
    finally:
        files.close(descriptor)
    files.rename(part, path)
    files.sync_folder(path.parent)
