"""Whose a supervisor's word is believed to be, by what its reader knows of keys."""

from dataclasses import dataclass
from datetime import datetime

from handsfree.record.chain import WordFound
from handsfree.record.trusted import Trusted, TrustedKey


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose a key is believed to be, at the time of a word."""

    owner: TrustedKey | None  # as the list has them; None: not in it, or no list was asked
    doubt: str = ""  # why a word of the key is not believed; "": it is
    asked: bool = True  # whether whoever looks has named a list or a key


@dataclass(frozen=True, slots=True)
class Known:
    """What a reader knows: the one `key` that they asked for, else the list of `trusted` keys."""

    key: str | None  # in hexadecimal
    trusted: Trusted | None
    stamped: datetime | None  # UTC, when an authority saw the seals

    def whose(self, word: WordFound) -> Whose:
        """Whose the key is that a word names."""
        owner = None if self.trusted is None else self.trusted.of(word.said.key)
        if self.key is not None:
            is_asked_for = word.said.key == self.key
            return Whose(owner, "" if is_asked_for else "it is of another key than you asked for")
        if self.trusted is None:
            return Whose(None, asked=False)
        if owner is None:
            return Whose(None, "you do not trust its key")
        return Whose(owner, owner.why_not_at(word.utc, self.stamped, "word") or "")
