"""How entries hang together: each holds the SHA-256 of the line before it.

The hash is over the bytes of the line as they stand, without its end of line, so that checking it
needs no second opinion about how JSON is written. The first entry holds `BEGINNING`.
"""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import get_args

import msgspec

from handsfree.engine.entries import TaskEnded
from handsfree.files.plain import open_plain
from handsfree.record.entries import (
    LOG,
    MOST_ENTRY_BYTES,
    NOT_JSON,
    EntryUnreadable,
    Sha256,
    read_entry,
    reading,
)
from handsfree.record.marks import Afterwards, RecordOpened, Redacted, Reviewed
from handsfree.record.values import kind_named
from handsfree.words.heard import Heard

BEGINNING = "0" * 64

_BLOCK_BYTES = 1 << 22
_LONGEST_MS = 1e12  # 31 years: no task runs longer, and no number grows out of its type
_OPENED, _REDACTED, _REVIEWED = map(kind_named, (RecordOpened, Redacted, Reviewed))
_ENDED, _HEARD = kind_named(TaskEnded), kind_named(Heard)
_NOTED = frozenset({_OPENED, _REDACTED, _REVIEWED, _ENDED, _HEARD})
_AFTERWARDS = frozenset(map(kind_named, get_args(Afterwards)))


def link(line: bytes) -> str:
    """What the entry after this line holds: SHA-256 (FIPS 180-4) in hexadecimal."""
    return hashlib.sha256(line).hexdigest()


@dataclass(frozen=True, slots=True)
class Broken:
    """The first entry that is not as it was written."""

    entry: int
    why: str


@dataclass(frozen=True, slots=True)
class WordFound:
    """A supervisor's word as it stands in the log; whose it is, is not asked here."""

    entry: int
    utc: str
    said: Reviewed
    line: bytes


@dataclass(slots=True)
class Chain:
    """What one reading of a log, from its first line, finds."""

    entries: int = 0  # that hang together
    head: str = BEGINNING  # SHA-256 of the last of them
    offset_ms: float = 0  # of the last of them
    utc: str = ""
    last: bytes = b""  # the line of the last of them
    size_bytes: int = 0  # of their lines
    tail: bytes = b""  # what follows them, if it is no whole line
    broken: Broken | None = None
    clips: dict[str, int] = field(default_factory=dict)  # where each was heard first
    opened: RecordOpened | None = None
    removed: set[str] = field(default_factory=set)  # clips whose sound was removed
    doubtful: dict[str, str] = field(default_factory=dict)  # what was wrong with them before that
    heads: dict[int, str] = field(default_factory=dict)  # where it was sealed, by entries
    ended: bool = False  # the task, by its last step
    heard: int | None = None  # the first entry that holds what a person said
    reviews: list[WordFound] = field(default_factory=list)
    worked_to: int = 0  # the last entry that tells of work
    changed_to: int = 0  # the last entry that tells of work, or that sound was removed
    removals: list[tuple[int, int]] = field(default_factory=list)  # entry, and how many clips
    set_back: list[int] = field(default_factory=list)  # entries whose clock is behind the last one


class _Envelope(msgspec.Struct, frozen=True, gc=False):
    """The part of an entry that the chain is made of; msgspec checks the syntax of the rest."""

    seq: int
    kind: str
    utc: str
    offset_ms: float
    prev: str
    clip: Sha256 | None = None


_envelopes = msgspec.json.Decoder(_Envelope)
_Line = tuple[bytes, _Envelope | None, str]


def read_chain(folder: Path, sealed: Mapping[int, str] | None = None) -> Chain:
    """Read the log of a record and check its chain, up to the first entry that breaks it.

    `sealed` are SHA-256 that the last of so many entries had when it was sealed; what it has now is
    in the `heads` of the answer.
    Takes a few megabytes, however long the log is. Raises NoRecord or RecordUnreadable.
    """
    chain = Chain()
    sealed = sealed or {}
    lines = _lines(folder / LOG, chain)
    with reading(folder):
        # Without a call of its own for each line: a log can have very many.
        for line, envelope, own in lines:
            if (
                envelope is None
                or envelope.seq != chain.entries
                or envelope.prev != chain.head
                or not chain.offset_ms <= envelope.offset_ms <= _LONGEST_MS
            ):
                chain.broken = _mistake(chain, envelope, own, lines, sealed)
                break
            if envelope.kind in _NOTED and not _take_in(chain, envelope.kind, line):
                chain.broken = _no_entry(chain.entries)
                break
            if envelope.kind not in _AFTERWARDS:
                chain.worked_to = chain.changed_to = chain.entries
            elif envelope.kind == _REDACTED:
                chain.changed_to = chain.entries
            if envelope.clip is not None:
                chain.clips.setdefault(envelope.clip, chain.entries)
            if envelope.utc < chain.utc:
                chain.set_back.append(chain.entries)
            chain.entries += 1
            chain.head = own
            chain.offset_ms = envelope.offset_ms
            chain.utc = envelope.utc
            chain.last = line
            chain.size_bytes += len(line) + 1
            if chain.entries in sealed:
                chain.heads[chain.entries] = own
    if chain.entries and chain.opened is None:
        chain.broken = Broken(0, "does not open a record")
    return chain


def lines_in(folder: Path) -> int:
    """How many whole lines the log has, whatever they are; raises NoRecord or RecordUnreadable."""
    with reading(folder), open_plain(folder / LOG, follow=False) as file:
        return sum(block.count(b"\n") for block in iter(partial(file.read, _BLOCK_BYTES), b""))


def _take_in(chain: Chain, kind: str, line: bytes) -> bool:
    """Note what opens the record or removes clips; false where the line is no such entry."""
    if kind == _ENDED:
        chain.ended = True
        return True
    if kind == _HEARD:
        if chain.heard is None:
            chain.heard = chain.entries
        return True
    try:
        entry = read_entry(line, chain.entries)
        mark = entry.value
    except EntryUnreadable:
        return False
    if isinstance(mark, RecordOpened) and chain.entries == 0:
        chain.opened = mark
    elif isinstance(mark, Reviewed):
        chain.reviews.append(WordFound(chain.entries, entry.utc, mark, line))
    elif isinstance(mark, Redacted):
        chain.removed.update(mark.clips)
        chain.removals.append((chain.entries, len(mark.clips)))
        chain.doubtful |= dict.fromkeys(mark.missing, "was missing")
        chain.doubtful |= {clip: f"was another sound, {own}," for clip, own in mark.altered}
    return True


def _no_entry(entry: int) -> Broken:
    return Broken(entry, "is no entry: it was changed or damaged")


def _mistake(
    chain: Chain,
    envelope: _Envelope | None,
    own: str,
    after: Iterator[_Line],
    sealed: Mapping[int, str],
) -> Broken:
    """What is wrong with the entry that does not follow the chain."""
    expected = chain.entries
    if envelope is None:
        return _no_entry(expected)
    if envelope.seq != expected:
        return Broken(
            expected,
            f"entry {envelope.seq} stands in its place: one was taken out, put in or moved",
        )
    if envelope.prev != chain.head:
        return _loose(expected, own, after, sealed)
    return Broken(expected, "its running time does not follow that of the entry before it")


def _loose(entry: int, own: str, after: Iterator[_Line], sealed: Mapping[int, str]) -> Broken:
    """Two neighbours do not hang together: the next one, or a seal, tells which one is wrong."""
    follower = next(after, None)
    is_followed = follower is not None and follower[1] is not None and follower[1].prev == own
    if entry and (is_followed or sealed.get(entry + 1) == own):
        return Broken(entry - 1, "is not what was written: the next entry holds another SHA-256")
    return Broken(entry, "does not follow the entry before it: one of the two was changed")


def _lines(path: Path, chain: Chain) -> Iterator[_Line]:
    """Each whole line with its envelope, None where it is no entry, and its SHA-256."""
    with open_plain(path, follow=False) as file:
        rest, more = b"", True
        while more and (block := file.read(_BLOCK_BYTES)):
            lines = (rest + block).split(b"\n")
            rest = lines.pop()
            if len(rest) > MOST_ENTRY_BYTES:
                # No line of ours, and nothing after it can follow from it.
                lines, rest, more = [*lines, rest], b"", False
            links = [hashlib.sha256(line).hexdigest() for line in lines]
            yield from zip(lines, _decoded(lines), links, strict=True)
    chain.tail = rest


def _decoded(lines: list[bytes]) -> Sequence[_Envelope | None]:
    try:
        found = _envelopes.decode_lines(b"\n".join(lines))
        if len(found) == len(lines):
            return found
    except NOT_JSON:
        pass  # one of them is no entry: find out which
    return [_decoded_alone(line) for line in lines]


def _decoded_alone(line: bytes) -> _Envelope | None:
    try:
        return _envelopes.decode(line)
    except NOT_JSON:
        return None
