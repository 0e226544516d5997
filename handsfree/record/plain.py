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


def refuse_what_is_not_plain(folder: Path) -> None:
    """Look at all that lies in a record, and follow nothing; raises NotPlain for the first.

    A link could have files outside the record read or removed, and reading a pipe or a device may
    never end. `folder` itself may be a link, since a person named it. What is put there after this
    look is not seen. A folder that is missing or cannot be read is left to whoever reads it.
    """
    for entry in _entries(folder):
        kind = stat.S_IFMT(entry.stat(follow_symlinks=False).st_mode)
        if kind not in (stat.S_IFREG, stat.S_IFDIR):
            raise NotPlain(Path(entry.path), _KINDS.get(kind, "no file"))


def _entries(folder: Path | str) -> Iterator["os.DirEntry[str]"]:
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError:
        return
    for entry in entries:
        yield entry
        if entry.is_dir(follow_symlinks=False):
            yield from _entries(entry.path)
