"""The page of one record out of many: made from the record, as `handsfree page` makes it.

Nothing in the address is a path. The index knows where the record of an id lies; that place is
looked at again before anything is read, since a link may have taken its place.
"""

import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from handsfree.files.plain import plain_bytes
from handsfree.index.collection import Collection
from handsfree.index.in_place import in_place
from handsfree.index.noting import LARGEST_LOG, TooLargeToIndex, read_task_of
from handsfree.index.tables import RecordRow
from handsfree.index.word_given import Reviewer
from handsfree.page.page_html import page_policy, record_page
from handsfree.page.sounds import sounds_of
from handsfree.page.writing import page_of, pictures_of
from handsfree.record.clips import name_of, path_of
from handsfree.record.entries import LOG, NoRecord, read_entries
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.verify import verify

_SHA256 = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class RecordPage:
    """A page, and what it may do."""

    html: str
    policy: str


def page_of_record(
    collection: Collection, row: RecordRow, reviewer: Reviewer | None = None
) -> RecordPage:
    """The page of the record as it is now; raises what `in_place`, `verify` and `page_of` raise.

    With a `reviewer` it has the form for their word.
    """
    with in_place(collection.root, row.place) as folder:
        return _page_of(collection, row, folder, reviewer)


def _page_of(
    collection: Collection, row: RecordRow, folder: Path, reviewer: Reviewer | None
) -> RecordPage:
    trust = collection.trust
    verified = verify(folder, trust.key, trust.roots, trust.trusted)
    try:
        size = (folder / LOG).lstat().st_size
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
    form = None if reviewer is None else reviewer.form(row.id, page.summary)
    html = record_page(page, sounds, row.name, "/", pictures_of(clips), found.why_not, form)
    return RecordPage(html, page_policy(form is not None))


def sound_of_record(collection: Collection, row: RecordRow, clip: str) -> bytes | None:
    """The sound of this SHA-256; None where there is none, or another one in its place."""
    if not _SHA256.fullmatch(clip):
        return None
    with in_place(collection.root, row.place) as folder:
        refuse_what_is_not_plain(folder)
        try:
            content = plain_bytes(path_of(folder, clip), follow=False)
        except OSError:
            return None
    return content if name_of(content) == clip else None
