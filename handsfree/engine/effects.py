"""What follows an event: orders to the shell, carried out in the order given."""

from dataclasses import dataclass
from datetime import timedelta
from enum import Enum

from handsfree.engine.entries import Entry
from handsfree.words.phrases import PhraseSet


class Speech(Enum):
    """Why something is said."""

    NOTICE = "notice"
    WARNING = "warning"
    CAUTION = "caution"
    NOTE = "note"
    INSTRUCTION = "instruction"
    READ_BACK = "read back"
    QUESTION = "question"


@dataclass(frozen=True, slots=True)
class Say:
    """Speak `text`, in words that need no interpretation: numbers are digit by digit already."""

    speech: Speech
    text: str


@dataclass(frozen=True, slots=True)
class Listen:
    """Listen for these phrases and no others."""

    phrases: PhraseSet
    until: timedelta | None = None  # the running time at which to send `TimeCame`; None: never


@dataclass(frozen=True, slots=True)
class Write:
    """Put `entry` on the record, durably, before anything after it is done."""

    entry: Entry


@dataclass(frozen=True, slots=True)
class Finish:
    """The task has ended; nothing is listened for any more."""


Effect = Say | Listen | Write | Finish
