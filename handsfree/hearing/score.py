"""How far to believe a hearing: the probability that the words are what was said.

A logistic function of what the listeners give as evidence. The numbers lie in `score.toml`,
fitted by `python -m tests.benchmarks.fit_score` on the tuning half of the speakers.
"""

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

_FITTED = Path(__file__).with_name("score.toml")
# Nats. Where only one phrase fits there is no second meaning, which says nothing about whether
# the phrase was said: so a margin counts for no more than this, less than the free text does.
_LARGEST_MARGIN = 6.0
# Nats, below which words are not less sure.
_LEAST = -12.0
# Nats. The reader is sure of most of what it hears; beyond this, margins say nothing more.
_LARGEST_READER_MARGIN = 12.0
_FARTHEST_A_LETTER = 4.0  # nats


@dataclass(frozen=True, slots=True)
class Evidence:
    """What speaks for and against the best words of one listener.

    All logarithms are natural ones of probabilities.
    """

    has_figures: bool  # the words hold a number
    margin: float  # nats, how far the best words of another meaning are behind; inf: none
    log_probability: float  # of the words when only the phrase set may be said
    words: int  # how many, at least 1
    support: float  # of the same said by the free decoding
    says_the_same: bool  # the likeliest free text says the words
    least: float  # of the least likely piece of the words, or their end, when anything may be said
    end: float  # of nothing more being said after the words, when anything may be said
    # Nats a letter, how far the words are behind the reader's best path held to no phrase. None:
    # there is no reader, or it could not take the sound in.
    behind_free: float | None = None

    def features(self) -> dict[str, float]:
        """The numbers that the weights of `score.toml` belong to."""
        features = {
            "margin": min(self.margin, _LARGEST_MARGIN),
            "log_probability_per_word": max(self.log_probability / self.words, _LEAST),
            "support": self.support,
            "says_the_same": float(self.says_the_same),
            "least": max(self.least, _LEAST),
            "end": max(self.end, _LEAST),
        }
        if self.behind_free is not None:
            # Words that the reader was never taught are far behind for everybody.
            features["behind_free"] = min(max(self.behind_free, 0.0), _FARTHEST_A_LETTER)
        return features


@dataclass(frozen=True, slots=True)
class ReadEvidence:
    """What speaks for and against a value that the reader heard and Whisper was asked about.

    All logarithms are natural ones of probabilities.
    """

    margin: float  # nats, how far the reader's next meaning is behind; inf: none
    behind_free: float  # nats, how far its words are behind its best path of any characters
    pieces: tuple[float, ...]  # of each piece of the words, and of their end, to Whisper
    letters: int = 1  # of the words, the spaces between them counted, at least 1
    # Whether there are other words than those of a number: names, units, months, ICAO letters.
    # Whisper hardly expects them, and the reader is behind in the longer ones, right or wrong.
    named: bool = False

    def features(self) -> dict[str, float]:
        """The numbers that the weights of `score.toml` belong to."""
        behind_a_letter = max(self.behind_free, 0.0) / self.letters
        return {
            "margin": min(self.margin, _LARGEST_READER_MARGIN),
            "behind_free": min(self.behind_free, -_LEAST),
            "behind_free_a_letter": min(behind_a_letter, _FARTHEST_A_LETTER),
            "mean": max(sum(self.pieces) / len(self.pieces), _LEAST),
            "least": max(min(self.pieces), _LEAST),
            "end": max(self.pieces[-1], _LEAST),
        }


class Logistic(BaseModel):
    """A logistic function of features."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    intercept: float
    weights: dict[str, float]  # by feature

    def probability(self, features: dict[str, float]) -> float:
        """1 / (1 + e^-x), x being the weighted sum."""
        logit = self.intercept + sum(
            weight * features[name] for name, weight in self.weights.items()
        )
        return 1.0 / (1.0 + math.exp(-max(-700.0, min(700.0, logit))))


class Score(BaseModel):
    """The fitted functions: of Whisper's words with figures and without, and of the reader's.

    Words without figures have two: one where the reader was asked about them too. What the reader
    heard has two: one of bare numbers, and one of what holds a name, a unit, a month or letters.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    made_with: str  # the command
    made_on: str
    speech: str  # what it was fitted on
    figures: Logistic
    words: Logistic
    words_read: Logistic
    read: Logistic
    read_named: Logistic

    def probability(self, evidence: Evidence | ReadEvidence) -> float:
        """P(the words are what was said), 0 to 1."""
        if isinstance(evidence, ReadEvidence):
            read = self.read_named if evidence.named else self.read
            return read.probability(evidence.features())
        words = self.words if evidence.behind_free is None else self.words_read
        fitted = self.figures if evidence.has_figures else words
        return fitted.probability(evidence.features())


@cache
def fitted_score() -> Score:
    """The functions that come with handsfree."""
    return Score.model_validate(tomllib.loads(_FITTED.read_text(encoding="utf-8")))
