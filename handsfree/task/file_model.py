"""What all models of the task file share: frozen, strict about keys, errors for a person.

The kinds of text and the dates in them are here too.
"""

import difflib
import re
from datetime import date
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)
from pydantic_core import PydanticCustomError

from handsfree.words.sayable import is_sayable
from handsfree.words.seen import is_seen

IDENTIFIER = r"[a-z][a-z0-9]*(-[a-z0-9]+)*"
WORDS = r"[a-z]+( [a-z]+)*"

Identifier = Annotated[str, StringConstraints(pattern=f"^{IDENTIFIER}$")]
"""A name within the task file, such as `bottle-pressure`."""

MOST_PHRASE_WORDS = 12  # more is no phrase that a person says without a slip
MOST_TEXT_CHARACTERS = 1_000  # a minute of speech
MOST_WORD_LETTERS = 60


def _can_be_remembered(phrase: str) -> str:
    words = phrase.split()
    if len(words) > MOST_PHRASE_WORDS:
        raise wrong(
            f"a phrase of {len(words):,} words",
            f"Write at most {MOST_PHRASE_WORDS} words, which a person can say without a slip",
        )
    return _no_endless_word(phrase)


def _no_endless_word(text: str) -> str:
    longest = max(map(len, text.split()), default=0)
    if longest > MOST_WORD_LETTERS:
        raise wrong(
            f"a word of {longest:,} letters", f"Write words of at most {MOST_WORD_LETTERS} letters"
        )
    return text


Words = Annotated[str, StringConstraints(pattern=f"^{WORDS}$"), AfterValidator(_can_be_remembered)]
"""Words as a person says them: lower case letters, one space between words."""

OWN_ERROR = "handsfree"  # the type that marks an error as made by `wrong`


def wrong(what: str, instead: str, key: str | None = None) -> PydanticCustomError:
    """An error that says what is wrong and what to write, at `key` of the part being checked."""
    return PydanticCustomError(
        OWN_ERROR, "{what}. {instead}", {"what": what, "instead": instead, "key": key}
    )


def _can_be_seen(text: str) -> str:
    if not text.strip():
        raise wrong("the text is blank", "Write what it is, or leave the key out")
    for each in text:
        if not is_seen(each) and each != "\n":
            raise wrong(
                f"the text has the character U+{ord(each):04X}, which cannot be seen or said",
                "Remove it, or write a plain space in its place",
            )
    for each in text:
        if each.isnumeric() and not each.isascii():
            raise wrong(
                f"the text has the figure '{each}' (U+{ord(each):04X}), which cannot be said",
                "Write figures as 0 to 9",
            )
    for each in text:
        if not is_sayable(each):
            raise wrong(
                f"the text has '{each}' (U+{ord(each):04X}), which the voice cannot say",
                "Write it in words, with letters of the Latin alphabet",
            )
    if len(text) > MOST_TEXT_CHARACTERS:
        raise wrong(
            f"a text of {len(text):,} characters",
            f"Write at most {MOST_TEXT_CHARACTERS:,} in one: nobody can listen to more. Split it",
        )
    return _no_endless_word(text)


Text = Annotated[str, Field(min_length=1), AfterValidator(_can_be_seen)]
"""What people read: no escape sequence, and no mark that hides or turns letters."""


def listed(value: Any) -> Any:
    """One text stands for a list of one."""
    return [value] if isinstance(value, str) else value


Texts = Annotated[
    tuple[Text, ...], BeforeValidator(listed, json_schema_input_type=Text | tuple[Text, ...])
]

Names = Annotated[
    tuple[Words, ...], BeforeValidator(listed, json_schema_input_type=Words | tuple[Words, ...])
]


def _iso_date(value: Any) -> Any:
    # A plain number would be taken for seconds since 1970.
    if isinstance(value, str) and not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
        raise wrong(f"'{value}' is not a date", "Write year, month and day, such as 2031-05-04")
    return value


IsoDate = Annotated[date, BeforeValidator(_iso_date)]


class FileModel(BaseModel):
    """A part of a task file. The text below a field says what the key means, in editors too."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    @model_validator(mode="before")
    @classmethod
    def _known_keys(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        known = [field.alias or name for name, field in cls.model_fields.items()]
        for key in value:
            if key not in known:
                near = difflib.get_close_matches(key, known, n=1)
                instead = f"Did you mean '{near[0]}'? " if near else ""
                known_here = f"Known here: {', '.join(known)}"
                raise wrong(f"unknown key '{key}'", instead + known_here, key)
        return value
