"""The page of one record out of many: made from the record, as `handsfree page` makes it.

Nothing in the address is a path. The index knows where the record of an id lies; that place is
looked at again before anything is read, since a link may have taken its place.
"""

import os
import re
import stat
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.index.collection import Collection
from handsfree.index.noting import LARGEST_LOG, TooLargeToIndex, read_task_of
from handsfree.index.tables import RecordRow
from handsfree.page.page_html import page_policy, record_page
from handsfree.page.sounds import sounds_of
from handsfree.page.writing import page_of, pictures_of
from handsfree.record.clips import name_of, path_of
from handsfree.record.entries import LOG, NoRecord, read_entries
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.verify import verify

_SHA256 = re.compile("[0-9a-f]{64}")


class LedElsewhere(HandsfreeError):
    """A folder on the way to a record is not one any more."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"{path}: is a link, and is not followed. Look who put it there.")


@dataclass(frozen=True, slots=True)
class RecordPage:
    """A page, and what it may do."""

    html: str
    policy: str


def page_of_record(collection: Collection, row: RecordRow) -> RecordPage:
    """The page of the record as it is now; raises what `verify` and `page_of` raise."""
    folder = _folder_of(collection, row)
    trust = collection.trust
    verified = verify(folder, trust.key, trust.roots, trust.trusted)
    try:
        size = (folder / LOG).stat().st_size
    except OSError as error:
        raise NoRecord(folder) from error
    if size > LARGEST_LOG:
        raise TooLargeToIndex(size)
    entries = tuple(read_entries(folder))
    found = sounds_of(folder, entries)
    clips = found.clips
    compared = clips if collection.with_voices else None
    page = page_of(folder, read_task_of(folder), verified, entries, compared)
    sounds = {clip: f"/record/{quote(row.id)}/{clip}.flac" for clip in clips}
    html = record_page(page, sounds, row.name, "/", pictures_of(clips), found.why_not)
    return RecordPage(html, page_policy())


def sound_of_record(collection: Collection, row: RecordRow, clip: str) -> bytes | None:
    """The sound of this SHA-256; None where there is none, or another one in its place."""
    if not _SHA256.fullmatch(clip):
        return None
    folder = _folder_of(collection, row)
    refuse_what_is_not_plain(folder)
    try:
        content = plain_bytes(path_of(folder, clip))
    except OSError:
        return None
    return content if name_of(content) == clip else None


def _folder_of(collection: Collection, row: RecordRow) -> Path:
    folder = collection.root
    for name in Path(os.fsdecode(row.place)).parts:
        folder /= name
        try:
            is_link = stat.S_ISLNK(folder.lstat().st_mode)
        except OSError as error:
            raise NoRecord(folder) from error
        if is_link:
            raise LedElsewhere(folder)
    return folder
