"""What Vosk's recognizer answers: its JSON, checked, as values.

The format is the one documented in `src/vosk_api.h` of Vosk and made by `src/recognizer.cc`. One
recognizer gives either words with confidences or alternatives, never both.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from handsfree.errors import HandsfreeError


class ResultBroken(HandsfreeError):
    """Vosk answered something that it does not document."""

    def __init__(self, answer: str, problem: str) -> None:
        super().__init__(
            f"Vosk answered {answer[:120]!r}, which is none of its results ({problem}). "
            "Install the release of vosk that pyproject.toml names."
        )


@dataclass(frozen=True, slots=True)
class SaidWord:
    """One word of the likeliest result."""

    word: str
    confidence: float  # 0 to 1, among what the grammar allows; says nothing about other speech
    started: timedelta  # from the first sample that was accepted
    ended: timedelta


@dataclass(frozen=True, slots=True)
class Alternative:
    """One whole result of several."""

    words: tuple[str, ...]
    log_likelihood: float  # natural log, up to a constant of the utterance


class _Answer(BaseModel):
    # More may come with it, such as a vector of the speaker.
    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class _Word(_Answer):
    word: str
    start: float = Field(ge=0)  # s
    end: float = Field(ge=0)  # s
    conf: float = Field(ge=0)


class _Words(_Answer):
    text: str
    result: tuple[_Word, ...] = ()


class _Alternative(_Answer):
    text: str
    confidence: float


class _Alternatives(_Answer):
    alternatives: tuple[_Alternative, ...] = Field(min_length=1)


_Kind = TypeVar("_Kind", bound=_Answer)


def words_in(answer: str) -> tuple[SaidWord, ...]:
    """The words of a final result; empty where nothing was heard. Raises ResultBroken."""
    parsed = _parsed(_Words, answer)
    said = tuple(
        SaidWord(
            each.word,
            # Sums of rounded posteriors come out a little above 1.
            min(each.conf, 1.0),
            timedelta(seconds=each.start),
            timedelta(seconds=max(each.start, each.end)),
        )
        for each in parsed.result
    )
    if [each.word for each in said] != parsed.text.split():
        raise ResultBroken(answer, "its words are not those of its text")
    return said


def alternatives_in(answer: str) -> tuple[Alternative, ...]:
    """The alternatives of a final result, as Vosk orders them. Raises ResultBroken."""
    parsed = _parsed(_Alternatives, answer)
    return tuple(
        Alternative(tuple(each.text.split()), each.confidence) for each in parsed.alternatives
    )


def _parsed(kind: type[_Kind], answer: str) -> _Kind:
    try:
        return kind.model_validate_json(answer)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "it"
        raise ResultBroken(answer, f"{where}: {first['msg']}") from error
