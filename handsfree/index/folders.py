"""Where records lie below a folder, and by what it is told that one has changed.

Nothing is followed: a link could lead out of the folder, or in circles.
"""

import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from handsfree.files.plain import open_plain
from handsfree.record.entries import LOG, TASK
from handsfree.record.seal import SEAL
from handsfree.record.time_stamp import TIME_STAMP

DEEPEST = 16  # folders in one another; a person who keeps records by year and aircraft needs three
_LAST_BYTES = 4096  # of a log: its last entries, whose chain stands for all before them
_SEAL_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Place:
    """Where a record lies."""

    below: bytes  # the folder that was named, as the file system has it; b"." for that folder
    folder: Path

    @property
    def id(self) -> str:
        """What addresses call it: they hold no path, so none can lead anywhere."""
        return hashlib.sha256(self.below).hexdigest()[:20]

    @property
    def root(self) -> Path:
        """The folder that was named."""
        depth = len(Path(os.fsdecode(self.below)).parts)
        return self.folder.parents[depth - 1] if depth else self.folder


@dataclass(slots=True)
class Found:
    """What was found below a folder."""

    places: list[Place]
    not_followed: int = 0  # links, and folders that are too deep or cannot be looked into


def records_below(root: Path) -> Found:
    """Every folder that is a record, or was one: it has a log, a seal, or a task with clips.

    One can lie in another, though none is written so.
    """
    found = Found([])
    folders = [(root, 0)]
    while folders:
        folder, depth = folders.pop()
        try:
            with os.scandir(folder) as scanned:
                entries = sorted(scanned, key=lambda each: each.name)
        except OSError:
            found.not_followed += 1
            continue
        names = {each.name for each in entries}
        if LOG in names or SEAL in names or {TASK, "clips"} <= names:
            below = os.fsencode(folder.relative_to(root))
            # What lies in it is looked at as well: anybody can put an empty log above others.
            found.places.append(Place(below, folder))
        found.not_followed += sum(each.is_symlink() for each in entries)
        inside = [each for each in entries if each.is_dir(follow_symlinks=False)]
        if depth == DEEPEST:
            found.not_followed += len(inside)
        else:
            folders += [(folder / each.name, depth + 1) for each in reversed(inside)]
    found.places.sort(key=lambda each: each.below)
    return found


def mark_of(folder: Path) -> str:
    """Differs where anything in a record differs, as far as can be told without reading it whole.

    It is made of names, sizes and times of change, the last bytes of the log and the seals. The
    time of a change of state (ctime) is among them, which nobody sets by hand, so a file that was
    altered and given its old time of writing is noticed as well.
    """
    mark = hashlib.sha256()
    for each in _told(folder):
        mark.update(each + b"\0")
    return mark.hexdigest()


def _told(folder: Path) -> Iterator[bytes]:
    for name in (LOG, TASK, SEAL, TIME_STAMP):
        yield _state_of(folder / name)
    yield _content(folder / LOG, _LAST_BYTES)
    yield _content(folder / SEAL, _SEAL_BYTES)
    for below in (folder, folder / "clips"):
        try:
            with os.scandir(below) as scanned:
                entries = sorted(scanned, key=lambda each: each.name)
        except OSError as error:
            yield str(error.errno).encode()
            continue
        for entry in entries:
            yield os.fsencode(entry.name)
            if below != folder or entry.name not in (LOG, TASK, SEAL, TIME_STAMP, "clips"):
                yield _state_of(Path(entry.path))


def _state_of(path: Path) -> bytes:
    try:
        found = path.lstat()
    except OSError as error:
        return str(error.errno).encode()
    told = (found.st_mode, found.st_size, found.st_mtime_ns, found.st_ctime_ns)
    return repr(told).encode()


def _content(path: Path, most: int) -> bytes:
    """The last bytes of a plain file; what is none is never opened."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return b""
        with open_plain(path, 1 << 62, follow=False) as file:
            file.seek(max(os.fstat(file.fileno()).st_size - most, 0))
            return file.read(most)
    except OSError as error:
        return str(error.errno).encode()
