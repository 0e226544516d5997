"""Where a supervisor gives their word on the page of a record, as far as the page shows it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WordForm:
    """A form for one word of one supervisor."""

    action: str  # the address that takes it
    ticket: str  # lets it be sent once, from this page
    by: str  # who signs
    key: str  # with which public key
    why_unacceptable: tuple[str, ...]  # why they cannot accept it; empty: they can
    longest: int  # characters of the remark
