"""Voices are personal: their sound can be removed, and the record still shows that it was there."""

import hashlib
from datetime import timedelta
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain
from handsfree.record.chain import read_chain
from handsfree.record.clips import SUFFIX, folder_of, path_of
from handsfree.record.entries import RecordUnreadable
from handsfree.record.files import Files
from handsfree.record.keys import Keys
from handsfree.record.log import UtcClock
from handsfree.record.marks import Redacted
from handsfree.record.record import Record
from handsfree.record.time_stamp import refuse_to_lose_time_stamp


class ClipNotOnRecord(HandsfreeError):
    """No entry heard such a clip."""

    exit_code = 2

    def __init__(self, folder: Path, sha256: str) -> None:
        super().__init__(
            f"{folder}: no entry heard a clip {sha256}. 'handsfree replay' shows the clips."
        )


def redact(
    folder: Path,
    reason: str,
    keys: Keys,
    utc_now: UtcClock,
    only: tuple[str, ...] = (),
    files: Files | None = None,
    replace_time_stamp: bool = False,
) -> tuple[str, ...]:
    """Remove the sound of all clips, or of `only` these, and seal what is left.

    It is sealed only where the work before it is (`Record.seal_afterwards`).

    That they are removed, by whom and why is on disk before the first of them goes, and so is what
    was wrong with them: a clip that was missing or altered before must not look removed by leave.
    The words and the hashes stay. A file that is removed can still be read off a disk by other
    means. Returns the SHA-256 of what was removed now. Raises ClipNotOnRecord, RecordUnreadable,
    TimeStampInTheWay, and as `Record.go_on`.
    """
    refuse_to_lose_time_stamp(folder, replace_time_stamp)
    with Record.go_on(folder, utc_now, lambda: timedelta(0), keys, files) as record:
        chain = read_chain(folder)
        for sha256 in only:
            if sha256 not in chain.clips:
                raise ClipNotOnRecord(folder, sha256)
        gone = frozenset(chain.removed)
        going = tuple(each for each in only or chain.clips if each not in gone)
        # Also what an earlier call was killed before it could remove.
        paths = {path_of(folder, each) for each in (*gone, *going)}
        strays = [] if only else sorted(set(folder_of(folder).glob(f"*{SUFFIX}")) - paths)
        if going or strays:
            found = {each: _sha256_at(path_of(folder, each)) for each in going}
            missing = tuple(each for each, own in found.items() if own is None)
            there = ((each, own) for each, own in found.items() if own is not None)
            altered = tuple((each, own) for each, own in there if own != each)
            unheard = tuple(own for each in strays if (own := _sha256_at(each)) is not None)
            record.append(Redacted(going, record.by, reason, missing, altered, unheard))
        paths |= set(strays)
        for path in sorted(paths):
            record.remove_clip(path)
        record.seal_afterwards()
    return going


def _sha256_at(path: Path) -> str | None:
    """Of the file there; None where there is none."""
    try:
        with open_plain(path) as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise RecordUnreadable(path, error) from error
