"""Make the page of a record and write it, with its sounds inside or, if they are many, beside."""

import base64
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.files.whole import write_new_files
from handsfree.page.gathering import Page, gather
from handsfree.page.page_html import record_page
from handsfree.page.sounds import Decoding, sounds_of
from handsfree.page.waveform import waveform
from handsfree.record.chain import read_chain
from handsfree.record.clips import SUFFIX
from handsfree.record.entries import LoggedEntry, read_entries
from handsfree.record.replay import replay
from handsfree.record.summary import summarise
from handsfree.record.verify import Verified
from handsfree.task.model import Task

MOST_INSIDE = 8_000_000
"""Bytes of sound that are put inside the page; a mail takes that with a third more as text."""


class PageNotWritten(HandsfreeError):
    """The page cannot be put there."""

    exit_code = 2

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: the page cannot be written there ({error.strerror or error}). Name a new "
            "file with --to; nothing is written over."
        )


@dataclass(frozen=True, slots=True)
class Written:
    """What was written."""

    page: Path
    beside: Path | None  # the folder of the sounds; None: they are inside
    sounds: int


def write_page(
    folder: Path, task: Task, verified: Verified, to: Path, with_voices: bool = True
) -> Written:
    """Write the page of the record in `folder` to the new file `to`.

    `verified` is what `verify` found; `with_voices` compares the voices of the roles. Raises
    NoRecord, RecordUnreadable, EntryUnreadable or PageNotWritten.
    """
    entries = tuple(read_entries(folder))
    found = sounds_of(folder, entries)
    clips = found.clips
    page = page_of(folder, task, verified, entries, clips if with_voices else None)
    beside = None
    if sum(len(content) for content in clips.values()) <= MOST_INSIDE:
        sounds = {
            clip: f"data:audio/flac;base64,{base64.b64encode(content).decode()}"
            for clip, content in clips.items()
        }
    else:
        beside = to.with_name(f"{to.stem}-sounds")
        sounds = {clip: f"{beside.name}/{clip}{SUFFIX}" for clip in clips}
    name, pictures = folder.resolve().name, pictures_of(clips)
    html = record_page(page, sounds, name, waveforms=pictures, no_sound=found.why_not)
    files = {} if beside is None else {beside / f"{clip}{SUFFIX}": c for clip, c in clips.items()}
    try:
        if beside is not None:
            beside.mkdir()
        write_new_files([*files.items(), (to, html.encode())])
    except OSError as error:
        raise PageNotWritten(to, error) from error
    return Written(to, beside, len(clips))


def page_of(
    folder: Path,
    task: Task,
    verified: Verified,
    entries: Iterable[LoggedEntry],
    sounds: Mapping[str, bytes] | None = None,
) -> Page:
    """What the page shows; with `sounds`, clips by SHA-256, also how alike the voices are.

    Raises EntryUnreadable.
    """
    entries = tuple(entries)
    differs = [each.seq for turn in replay(task, entries) for each in turn.differences]
    head = read_chain(folder).head
    summary = summarise(task, entries, verified, head, len(differs), min(differs, default=None))
    return gather(task, entries, summary, sounds)


def pictures_of(clips: Mapping[str, bytes]) -> dict[str, str]:
    """The waveform of each sound as the path of a picture, by SHA-256."""
    decoding = Decoding()
    sounds = ((clip, decoding.samples(content)) for clip, content in clips.items())
    return {clip: waveform(samples) for clip, samples in sounds if samples is not None}
