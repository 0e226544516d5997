"""What a recognizer gives back for one utterance."""

from dataclasses import dataclass
from datetime import timedelta
from enum import Enum


class Trouble(Enum):
    """What is wrong with the sound of an utterance, where that can be told."""

    TOO_LOUD = "too loud"  # clipped: the peaks are cut off
    BROKEN_UP = "broken up"  # pieces of the sound are missing
    MORE_SOUND = "more sound than words"  # somebody else spoke too, or a soft word was not heard
    CUT_OFF = "cut off"  # it began under the tool's own voice: its first words may be missing
    NO_PAUSE = "no pause"  # sound went on for longer than any answer, so none of it was recognized
    TOO_LONG = "too long"  # for one of the listeners, which heard nothing of it
    TWO_VOICES = "two voices"  # at once
    TOO_FAST = "too fast"  # as if played at twice its rate
    TOO_SLOW = "too slow"
    BROKEN_OFF = "broken off"  # the sound stops within a word


@dataclass(frozen=True, slots=True)
class Opinion:
    """What one listener believes of one utterance, before any decision."""

    listener: str  # the model's name in models/catalogue.toml
    words: tuple[str, ...]  # the best words within the phrase set; empty: none fitted
    log_probability: float  # natural log, of those words given the sound; -inf where there are none
    margin: float  # how much less likely the best words of another meaning are, in nats; inf: none
    free_text: str  # what the same listener writes with no phrase set at all


class EndRule(Enum):
    """Why the silence behind an utterance was long enough; `hearing/live/waits.py` says how long.

    The value is what the record says.
    """

    NOTHING_LEFT = "nothing can follow"
    ALL_FIGURES = "all its figures were said"
    MORE_POSSIBLE = "more could follow"
    NOT_ALL = "not all of it was said"
    DOUBTFUL = "not heard surely"
    NOT_KNOWN = "not known in time what it was"
    TOO_LONG = "longer than any answer"


@dataclass(frozen=True, slots=True)
class EndedBy:
    """How it was told that somebody had finished."""

    rule: EndRule
    after: timedelta  # of silence behind the last sound of the voice
    pace: float = (
        1.0  # how many times as long as usual this person is waited for, where more may come
    )
    joined: int = 0  # how often it seemed finished before, and they talked on before any answer


@dataclass(frozen=True, slots=True)
class Heard:
    """What one utterance is believed to say. Not heard well is a low score, never None."""

    words: tuple[str, ...]  # within the phrase set, in lower case; empty: nothing fitted
    score: float  # P(words are what was said), 0 to 1
    alternatives: tuple[tuple[str, ...], ...]  # next best words within the phrase set
    opinions: tuple[Opinion, ...]  # one per listener
    started: timedelta  # monotonic, from the start of the run
    ended: timedelta
    channel: int | None = None  # of the headset: 1 technician, 2 second person, 3 inspector
    typed: bool = False  # at a keyboard, so it was not heard at all
    # With the sound. The score has been lowered for it already, but where the words only stop work.
    trouble: Trouble | None = None
    ended_by: EndedBy | None = None  # None: typed, or a clip, where nobody had to wait for the end

    def __post_init__(self) -> None:
        if not 0 <= self.score <= 1:
            raise ValueError(f"score is a probability, 0 to 1, not {self.score}")
        if self.ended < self.started:
            raise ValueError(f"an utterance cannot end ({self.ended}) before {self.started}")
