"""Taking a model's files out of a folder or a zip: plain files, below one folder, not too many.

What a stranger packed may name files outside the folder, or swell to fill the disk. Nothing of it
is repaired: such a package is refused whole.
"""

import hashlib
import os
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import IO

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain

MOST_FILES = 1_000  # a model has some twenty
MOST_LEVELS = 16  # of folders in folders; a model has three
MOST_NAME = 200  # bytes of one name: a file system takes 255, and some add to them
MOST_BYTES = 1 << 30  # unpacked; models that take a phrase set have up to a quarter of it
_BLOCK = 1 << 20
_UNIX_MODE_SHIFT = 16  # of ZipInfo.external_attr, see APPNOTE.TXT 4.4.15
_ENCRYPTED = 0x1  # of ZipInfo.flag_bits, APPNOTE.TXT 4.4.4

Progress = Callable[[int, int], None]  # bytes done, bytes in all


class PackageUnsafe(HandsfreeError):
    """The package holds what a model never does."""

    def __init__(self, source: Path, what: str) -> None:
        super().__init__(
            f"{source}: {what}. Nothing was added. Fetch the model from where it is published."
        )


class PackageBroken(HandsfreeError):
    """The package cannot be read."""

    def __init__(self, source: Path, reason: str) -> None:
        super().__init__(
            f"{source}: cannot be unpacked ({reason}). Nothing was added. Fetch the model again."
        )


class NotStored(HandsfreeError):
    """The files could not be written."""

    def __init__(self, folder: Path, reason: str) -> None:
        super().__init__(
            f"{folder}: the model cannot be written there ({reason}). Nothing was added. "
            "Make room, or name another folder in HANDSFREE_MODELS."
        )


@dataclass(frozen=True, slots=True)
class Member:
    """One file of a package."""

    path: PurePosixPath  # below the package
    size: int  # bytes, as the package states it
    open: Callable[[], IO[bytes]]


def members_of_folder(folder: Path) -> tuple[Member, ...]:
    """Every file below `folder`; raises PackageUnsafe or PackageBroken."""
    members = []
    try:
        for inside, entry in _below(folder, PurePosixPath()):
            if not entry.is_file(follow_symlinks=False):
                raise PackageUnsafe(folder, f"{inside} is a link or a device, not a file")
            size = entry.stat(follow_symlinks=False).st_size
            members.append(Member(inside, size, _opening(Path(entry.path))))
            if len(members) > MOST_FILES:
                break  # a whole disk may lie below
    except OSError as error:
        raise PackageBroken(folder, error.strerror or str(error)) from error
    return _within_limits(folder, sorted(members, key=lambda each: each.path))


def _below(
    folder: Path, inside: PurePosixPath
) -> Iterator[tuple[PurePosixPath, "os.DirEntry[str]"]]:
    """All that is below a folder and is no folder."""
    if len(inside.parts) > MOST_LEVELS:
        raise PackageUnsafe(folder, f"it has more than {MOST_LEVELS} folders in one another")
    with os.scandir(folder / inside) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _below(folder, inside / entry.name)
            else:
                yield inside / entry.name, entry


def members_of_zip(archive: zipfile.ZipFile, source: Path) -> tuple[Member, ...]:
    """Every file of a zip; raises PackageUnsafe."""
    members = []
    for entry in archive.infolist():
        path = _safe_path(source, entry.filename)
        kind = stat.S_IFMT(entry.external_attr >> _UNIX_MODE_SHIFT)
        if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise PackageUnsafe(source, f"{entry.filename!r} is a link or a device, not a file")
        if entry.flag_bits & _ENCRYPTED:
            raise PackageUnsafe(source, f"{entry.filename!r} is encrypted")
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise PackageUnsafe(source, f"{entry.filename!r} is packed in an unusual way")
        if not entry.is_dir():
            members.append(Member(path, entry.file_size, _opening_in(archive, entry)))
    return _within_limits(source, members)


def below_the_one_folder(members: tuple[Member, ...]) -> tuple[str | None, tuple[Member, ...]]:
    """The folder that holds all `members`, and they without it; None where there is no such one."""
    tops = {each.path.parts[0] for each in members}
    if len(tops) != 1 or any(len(each.path.parts) == 1 for each in members):
        return None, members
    inside = (replace(each, path=PurePosixPath(*each.path.parts[1:])) for each in members)
    return tops.pop(), tuple(inside)


def store(
    source: Path, members: Iterable[Member], folder: Path, progress: Progress
) -> dict[str, str]:
    """Write `members` below `folder`; the SHA-256 of each, by path.

    Raises PackageUnsafe where they hold more than was stated, PackageBroken or NotStored. What was
    written until then is left for the caller to remove.
    """
    members = tuple(members)
    whole, done = sum(each.size for each in members), 0
    written = {}
    for member in members:
        target = folder / member.path
        digest = hashlib.sha256()
        left = member.size
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("xb") as out:
                for block in _blocks(source, member):
                    left -= len(block)
                    if left < 0:
                        raise PackageUnsafe(source, f"{member.path} is larger than it states")
                    digest.update(block)
                    out.write(block)
                    done += len(block)
                    progress(done, whole)
        except OSError as error:  # of writing: what goes wrong in reading is a PackageBroken
            raise NotStored(folder, error.strerror or str(error)) from error
        if left:
            raise PackageBroken(source, f"{member.path} is cut short")
        written[member.path.as_posix()] = digest.hexdigest()
    return written


def _blocks(source: Path, member: Member) -> Iterable[bytes]:
    try:
        with member.open() as file:
            while block := file.read(_BLOCK):
                yield block
    # What zipfile and the decompressors raise on damage; they have no root of their own.
    except (
        OSError,
        EOFError,
        RuntimeError,
        ValueError,
        zipfile.BadZipFile,
        zlib.error,
    ) as error:
        raise PackageBroken(source, f"{member.path}: {error}") from error


def _safe_path(source: Path, name: str) -> PurePosixPath:
    parts = name.removesuffix("/").split("/")
    if name.startswith("/") or ".." in parts:
        raise PackageUnsafe(source, f"{name!r} leads out of its folder")
    # A colon or a backslash names a drive or a folder on some systems.
    if any(not part or part == "." for part in parts) or any(
        character in "\\:" or not character.isprintable() for character in name
    ):
        raise PackageUnsafe(source, f"{name!r} is not a plain name")
    if len(parts) > MOST_LEVELS + 1:
        raise PackageUnsafe(source, f"it has more than {MOST_LEVELS} folders in one another")
    if any(len(part.encode()) > MOST_NAME for part in parts):
        raise PackageUnsafe(source, f"{name[:MOST_NAME]!r} is longer than any name of a model")
    return PurePosixPath(*parts)


def _within_limits(source: Path, members: list[Member]) -> tuple[Member, ...]:
    if not members:
        raise PackageBroken(source, "there is nothing in it")
    if len(members) > MOST_FILES:
        raise PackageUnsafe(source, f"it has more than {MOST_FILES} files")
    size = sum(each.size for each in members)
    if size > MOST_BYTES:
        raise PackageUnsafe(
            source,
            f"its files have {size / 1e6:.0f} MB, and {MOST_BYTES / 1e6:.0f} MB are allowed",
        )
    # Some file systems keep no capitals apart.
    names = [each.path.as_posix().casefold() for each in members]
    if len(set(names)) < len(names):
        raise PackageUnsafe(source, "two of its files have one name")
    folders = {parent.as_posix().casefold() for each in members for parent in each.path.parents}
    if both := folders & set(names):
        raise PackageUnsafe(source, f"{sorted(both)[0]} is a file and a folder")
    return tuple(members)


def _opening(path: Path) -> Callable[[], IO[bytes]]:
    return lambda: open_plain(path)


def _opening_in(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Callable[[], IO[bytes]]:
    return lambda: archive.open(entry)
