"""Text for the ear: numbers in words, whole sentences, times, and values said twice."""

import re
from datetime import timedelta

from handsfree.engine.effects import Say, Speech
from handsfree.words.alphabet import SPOKEN_LETTERS
from handsfree.words.dates import MONTHS
from handsfree.words.fractions import FRACTION_WORDS
from handsfree.words.spoken_numbers import speak_figures, speak_text

# A run of the words that `speak_measured`, `speak_characters` and `speak_date` say values in. A
# month belongs to it only between figures: "may" and "march" are also other words.
_VALUE_WORDS = "|".join(
    sorted({*speak_figures("0123456789.-").split(), *SPOKEN_LETTERS, *FRACTION_WORDS}, reverse=True)
)
_MONTHS = f"(?:{'|'.join(MONTHS)})"
_VALUE_IN_SPEECH = re.compile(
    rf"\b(?:{_VALUE_WORDS})(?:(?: and| {_MONTHS})? (?:{_VALUE_WORDS}))*\b", re.IGNORECASE
)


def say(speech: Speech, text: str) -> Say:
    """`text` with its numbers in words."""
    return Say(speech, speak_text(text))


def words_twice(says: tuple[Say, ...]) -> tuple[Say, ...]:
    """`says` with every number and every spelled word in it said twice (ICAO Doc 9432, 2.6)."""
    return tuple(Say(each.speech, _VALUE_IN_SPEECH.sub(_said_twice, each.text)) for each in says)


def _said_twice(value: re.Match[str]) -> str:
    return f"{value.group()}, {value.group().lower()}"


def spoken_time(time: timedelta) -> str:
    """A time for the ear, never shorter than it is, such as "3 minutes 1 second"."""
    seconds = -(-time // timedelta(seconds=1))
    parts = ((seconds // 3600, "hour"), (seconds // 60 % 60, "minute"), (seconds % 60, "second"))
    said = [f"{number} {name}{'s' * (number != 1)}" for number, name in parts if number]
    return " ".join(said)


def sentence(text: str) -> str:
    """`text` from a capital letter to a full stop."""
    return with_full_stop(text[:1].upper() + text[1:])


def clause(text: str) -> str:
    """A whole sentence as the end of another one."""
    return with_full_stop(text[:1].lower() + text[1:])


def with_full_stop(text: str) -> str:
    """`text` with a full stop, where it has no end of its own."""
    return text if text.endswith((".", "!", "?")) else f"{text}."
