"""The entries of a record with their values, decoded once for all who tell of them."""

from collections.abc import Iterable
from typing import TypeAlias

from handsfree.record.entries import LoggedEntry

Decoded: TypeAlias = tuple[tuple[LoggedEntry, object], ...]


def decode(entries: Iterable[LoggedEntry]) -> Decoded:
    """Each entry with its value; raises EntryUnreadable."""
    return tuple((entry, entry.value) for entry in entries)
