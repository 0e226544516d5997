"""A record holds plain files and folders only, so that nothing in it leads anywhere else."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.visible import visible

_KINDS = {
    stat.S_IFLNK: "a symbolic link",
    stat.S_IFIFO: "a pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
}


class NotPlain(HandsfreeError):
    """Something in a record is neither a file nor a folder."""

    def __init__(self, path: Path, kind: str) -> None:
        super().__init__(
            f"{visible(str(path))}: is {kind}; a record holds only plain files and folders. Look "
            "who put it there, and take the record from where it was kept. Nothing was changed."
        )


class TooLarge(HandsfreeError):
    """Something in a record is larger than any run could have made it."""

    def __init__(self, path: Path, most: int) -> None:
        super().__init__(
            f"{visible(str(path))}: is larger than {most / 2**20:g} MiB, and so no part of a "
            "record that handsfree wrote: reading it could take for ever. Look who put it there. "
            "Nothing was changed."
        )


# Far above what any run needs: a log of 2 GiB has seven million entries, and 16 GiB of sound are
# days of talk. A sparse file takes no room on a disk, and as long to read as one that does.
_LARGEST_LOG = 1 << 31
_LARGEST_OTHER = 1 << 26
_LARGEST_SOUND = 1 << 34  # of all clips together


def refuse_what_is_not_plain(folder: Path) -> None:
    """Look at all that lies in a record, and follow nothing; raises NotPlain for the first.

    A link could have files outside the record read or removed, and reading a pipe or a device may
    never end; nor does it, as far as a person waits, for a file without bounds: raises TooLarge.
    `folder` itself may be a link, since a person named it. What is put there after this look is not
    seen. A folder that is missing or cannot be read is left to whoever reads it.
    """
    sound = 0
    for entry in _entries(folder):
        found = entry.stat(follow_symlinks=False)
        kind = stat.S_IFMT(found.st_mode)
        if kind not in (stat.S_IFREG, stat.S_IFDIR):
            raise NotPlain(Path(entry.path), _KINDS.get(kind, "no file"))
        if kind == stat.S_IFDIR:
            continue
        path = Path(entry.path)
        if path.parent == folder:
            most = {"log.jsonl": _LARGEST_LOG}.get(entry.name, _LARGEST_OTHER)
            if entry.name in _READ_WHOLE and found.st_size > most:
                raise TooLarge(path, most)
        elif path.parent == folder / "clips":
            sound += found.st_size
            if sound > _LARGEST_SOUND:
                raise TooLarge(path.parent, _LARGEST_SOUND)


_READ_WHOLE = frozenset({"log.jsonl", "task.yaml", "seal.json", "seal.tsr"})


def _entries(folder: Path | str) -> Iterator["os.DirEntry[str]"]:
    """All that lies below a folder, however deep it goes."""
    folders: list[Path | str] = [folder]
    while folders:
        try:
            with os.scandir(folders.pop()) as found:
                entries = sorted(found, key=lambda entry: entry.name)
        except OSError:
            continue
        yield from entries
        folders += [each.path for each in reversed(entries) if each.is_dir(follow_symlinks=False)]
