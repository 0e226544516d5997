"""A supervisor's word from the page of a record: the form, and what is sent back.

The key is that of whoever started the program, on this machine. A form can be sent once, and only
for the record as it was when the page was made: what is judged is what was looked at.
"""

import secrets
import threading
from collections import OrderedDict
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import parse_qs, quote

from handsfree.errors import HandsfreeError
from handsfree.index.noting import Trust, read_task_of
from handsfree.page.word_form import WordForm
from handsfree.record.chain import read_chain
from handsfree.record.keys import Keys
from handsfree.record.reviewing import LONGEST, Word, review
from handsfree.record.summary import Summary

MOST_BYTES = 16 * 1024  # a remark, each character of which is at most four bytes of three signs
MOST_TICKETS = 64  # pages that are open at a time; the oldest cannot be sent any more
FORM = "application/x-www-form-urlencoded"
_FIELDS = frozenset({"ticket", "verdict", "remark"})


class WordNotTaken(HandsfreeError):
    """What was sent is no word that can be put on the record."""

    def __init__(self, why: str, instead: str) -> None:
        super().__init__(f"{why}. {instead}. Nothing was written.")


@dataclass(frozen=True, slots=True)
class _Ticket:
    record: str  # its id
    head: str  # SHA-256 of its last entry when the page was made


class Reviewer:
    """Who can give their word at this machine, and the forms that were handed out."""

    def __init__(self, keys: Keys, now: Callable[[], datetime]) -> None:
        self._keys = keys
        self._now = now
        self._tickets: OrderedDict[str, _Ticket] = OrderedDict()
        self._lock = threading.Lock()

    def form(self, record: str, summary: Summary) -> WordForm:
        """A form for the page of a record, by its id."""
        name = secrets.token_urlsafe(16)
        with self._lock:
            self._tickets[name] = _Ticket(record, summary.head)
            while len(self._tickets) > MOST_TICKETS:
                self._tickets.popitem(last=False)
        return WordForm(
            action=f"/record/{quote(record)}/word",
            ticket=name,
            by=self._keys.name,
            key=self._keys.public,
            why_unacceptable=summary.why_unacceptable,
            longest=LONGEST,
        )

    def give(self, record: str, folder: Path, sent: Mapping[str, str], trust: Trust) -> None:
        """Put the word that was sent on the record; raises WordNotTaken, or as `review`."""
        with self._lock:
            ticket = self._tickets.pop(sent["ticket"], None)
        if ticket is None or ticket.record != record:
            raise WordNotTaken(
                "This form was sent already, or is too old", "Open the page of the record again"
            )
        if read_chain(folder).head != ticket.head:
            raise WordNotTaken(
                "The record was changed since you opened its page", "Look at it again"
            )
        if sent["verdict"] not in ("accept", "reject"):
            raise WordNotTaken("Neither accepted nor rejected", "Choose one of them")
        word = Word(sent["verdict"] == "accept", sent["remark"].strip())
        task = read_task_of(folder)
        review(folder, task, word, self._keys, self._now, trust.trusted, None, trust.roots)


async def read_form(kind: str, body: AsyncIterator[bytes]) -> dict[str, str]:
    """The fields of a form, each once, and nothing else; raises WordNotTaken.

    `kind` is the type that its sender gives it. No more of it is kept than a word can have.
    """
    content = b""
    async for part in body:
        content += part
        if len(content) > MOST_BYTES:
            raise WordNotTaken(f"That is more than {MOST_BYTES} bytes", "Write a shorter remark")
    try:
        if kind.partition(";")[0].strip().lower() != FORM:
            raise ValueError(kind)
        found = parse_qs(
            content.decode("ascii"),
            keep_blank_values=True,
            strict_parsing=True,
            errors="strict",
            max_num_fields=len(_FIELDS),
        )
        if found.keys() != _FIELDS:
            raise ValueError(found.keys())
    except ValueError as error:
        raise WordNotTaken(
            "That is not what the form of a record sends", "Choose a verdict, and write a remark"
        ) from error
    return {name: values[0] for name, values in found.items()}
