"""The entries of a log as they are read: what every entry has, and what it holds."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from functools import cached_property, lru_cache, partial
from pathlib import Path
from typing import Annotated, Any, TypeAlias, get_args

import msgspec

from handsfree.engine.effects import Say
from handsfree.engine.entries import Entry
from handsfree.engine.events import Event
from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain
from handsfree.record.marks import Mark
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.values import (
    LARGEST_WHOLE,
    JsonObject,
    NotReadable,
    kind_named,
    value_from,
)

MOST_ENTRY_BYTES = 32_000_000  # the first can hold a whole equipment list
LOG = "log.jsonl"
TASK = "task.yaml"

# What msgspec raises for bytes that are not JSON of the type that is asked for.
NOT_JSON = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)

# What every entry has beside its own fields; what was heard has "clip" and "source" as well.
ENVELOPE = ("kind", "seq", "utc", "offset_ms", "prev")
_SHARED = frozenset({*ENVELOPE, "clip", "source"})

Decision: TypeAlias = Entry | Say
EVENTS: dict[str, type[Event]] = {kind_named(each): each for each in get_args(Event)}
DECISIONS: dict[str, type[Decision]] = {kind_named(each): each for each in get_args(Decision)}
MARKS: dict[str, type[Mark]] = {kind_named(each): each for each in get_args(Mark)}
_ALL: dict[str, type[Any]] = {**EVENTS, **DECISIONS, **MARKS}


class EntryUnreadable(HandsfreeError):
    """An entry is not what this version of handsfree writes."""

    def __init__(self, seq: int, why: str) -> None:
        super().__init__(
            f"entry {seq}: cannot be read ({why}). Run 'handsfree verify' on the record; if it is "
            "whole, it was written by another version of handsfree: use that one."
        )


class RecordUnreadable(HandsfreeError):
    """The operating system does not let the record be read."""

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: cannot be read ({error.strerror or error}). Ask for leave to read it, or "
            "have the disk looked at."
        )


class NoRecord(HandsfreeError):
    """There is no record in the folder."""

    exit_code = 2

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: no record there ({LOG} and {TASK}). Name the folder of a record."
        )


@dataclass(frozen=True)
class LoggedEntry:
    """One entry of a log."""

    seq: int
    kind: str
    utc: str
    offset: timedelta  # the running time of the task; it stands still while nothing runs
    clip: str | None  # SHA-256 of the sound that was heard
    source: str | None
    fields: JsonObject  # what is its own

    @cached_property  # one table after another asks for it
    def value(self) -> Event | Decision | Mark:
        """The value that was written, decoded once; raises EntryUnreadable."""
        known: type[Event | Decision | Mark] | None = _ALL.get(self.kind)
        if known is None:
            raise EntryUnreadable(self.seq, f"nothing is called '{self.kind}'")
        try:
            return value_from(known, self.fields)
        except NotReadable as error:
            raise EntryUnreadable(self.seq, str(error)) from error

    @property
    def at(self) -> datetime:
        """When it was written; raises EntryUnreadable."""
        try:
            return read_utc(self.utc)
        except ValueError as error:
            raise EntryUnreadable(self.seq, str(error)) from error


# Nothing else may become the name of a file: a record can come from anywhere.
Sha256 = Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{64}\Z")]


class _Envelope(msgspec.Struct, frozen=True):
    """What every entry has, and what one that was heard can have."""

    seq: Annotated[int, msgspec.Meta(ge=0, le=LARGEST_WHOLE)]
    kind: str
    utc: str
    offset_ms: float
    clip: Sha256 | None = None
    source: str | None = None


@lru_cache(maxsize=256)
def _own_fields(kind: str) -> frozenset[str]:
    return frozenset(field.name for field in fields(_ALL[kind])) if kind in _ALL else frozenset()


def read_entry(line: bytes, seq: int) -> LoggedEntry:
    """The entry on this line; `seq` is how an error calls it. Raises EntryUnreadable."""
    try:
        found = msgspec.json.decode(line, type=dict)
        envelope = msgspec.convert(found, _Envelope)
        own = _own_fields(envelope.kind)
        return LoggedEntry(
            seq=envelope.seq,
            kind=envelope.kind,
            utc=envelope.utc,
            offset=timedelta(milliseconds=envelope.offset_ms),
            clip=None if "clip" in own else envelope.clip,
            source=None if "source" in own else envelope.source,
            fields={
                name: each for name, each in found.items() if name in own or name not in _SHARED
            },
        )
    except (*NOT_JSON, OverflowError) as error:
        raise EntryUnreadable(seq, f"{error}") from error


def read_entries(folder: Path) -> Iterator[LoggedEntry]:
    """The entries of a record in their order, without checking that they belong together.

    A last line without an end is not an entry. Raises NoRecord, RecordUnreadable or
    EntryUnreadable.
    """
    with reading(folder), open_plain(folder / LOG, follow=False) as file:
        lines = iter(partial(file.readline, MOST_ENTRY_BYTES + 1), b"")
        for seq, line in enumerate(lines):
            if len(line) > MOST_ENTRY_BYTES:
                raise EntryUnreadable(seq, f"it is longer than {MOST_ENTRY_BYTES / 10**6:g} MB")
            if line.endswith(b"\n"):
                yield read_entry(line, seq)


@contextmanager
def reading(folder: Path) -> Iterator[None]:
    """While a record is read: OSError becomes NoRecord or RecordUnreadable.

    Raises NotPlain before anything is read.
    """
    try:
        refuse_what_is_not_plain(folder)
        yield
    except (FileNotFoundError, NotADirectoryError) as error:
        raise NoRecord(folder) from error
    except OSError as error:
        raise RecordUnreadable(folder, error) from error


def read_utc(text: str) -> datetime:
    """A time of the record. A leap second, 23:59:60, is its last instant before (RFC 3339, 5.6)."""
    try:
        return datetime.fromisoformat(text).astimezone(UTC)
    except ValueError:
        head, leap, tail = text.partition(":60")
        if not leap:
            raise
        zone = tail.lstrip("0123456789.")
        return datetime.fromisoformat(f"{head}:59.999{zone}").astimezone(UTC)
