"""Who took part in the work of a record, by name.

A name is all that key, list of trusted keys and roster have in common: who is called otherwise in
one of them is not found out.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from handsfree.engine.entries import FindingClosed, PersonIdentified
from handsfree.record.entries import EntryUnreadable, LoggedEntry, read_entries
from handsfree.record.marks import RecordOpened, Resumed
from handsfree.record.values import kind_named

_KINDS = frozenset(map(kind_named, (RecordOpened, Resumed, PersonIdentified, FindingClosed)))


@dataclass(frozen=True, slots=True)
class TookPart:
    """What a record tells of who worked on it."""

    parts: tuple[tuple[str, str], ...] = ()  # a name, and what shows the part
    unreadable: bool = False  # not all of it could be read

    def of(self, names: Iterable[str]) -> tuple[str, ...]:
        """What shows that a person, by any of these names, took part; each once."""
        own = {_plain(name) for name in names}
        found = [told for name, told in self.parts if _plain(name) in own]
        if self.unreadable:  # nobody is taken to be free of a part that may stand there
            found.append("who took part cannot be read from this record")
        return tuple(dict.fromkeys(found))


def took_part(entries: Iterable[LoggedEntry]) -> TookPart:
    """Who took part by these entries; raises EntryUnreadable."""
    parts = []
    for each in entries:
        if each.kind not in _KINDS:
            continue
        match each.value:
            case RecordOpened(by=str(by)):
                parts.append((by, "began the run with this name on the key"))
            case Resumed(by=str(by)):
                parts.append((by, "went on with the run with this name on the key"))
            case PersonIdentified(role, number, name):
                parts.append((name, f"{role.value} ({number})"))
            case FindingClosed(number, _, name):
                parts.append((name, f"closed finding {number}"))
    return TookPart(tuple(parts))


def took_part_in(folder: Path, entries: int) -> TookPart:
    """Who took part by the first `entries` of a record, which are known to hang together.

    Raises NoRecord or RecordUnreadable.
    """
    try:
        return took_part(islice(read_entries(folder), entries))
    except EntryUnreadable:
        return TookPart(unreadable=True)


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
