"""What Vosk's results say of one utterance: the meanings that it may have, and how likely each is.

The probabilities are Vosk's own, among the few results that it kept: all the sound that it does not
take for one of them is left out. They rank; they are not the chance that the words were said.
"""

import math
from collections.abc import Hashable
from dataclasses import dataclass

from handsfree.hearing.vosk.result import Alternative, SaidWord
from handsfree.words.phrases import PhraseSet


@dataclass(frozen=True, slots=True)
class VoskMeaning:
    """One meaning."""

    meaning: Hashable  # see `PhraseSet.meaning_of`
    words: tuple[str, ...]  # the likeliest wording
    probability: float  # of all its wordings together


@dataclass(frozen=True, slots=True)
class VoskResults:
    """What was made of one utterance."""

    candidates: tuple[VoskMeaning, ...]  # likeliest first; may be empty
    outside: float  # probability of all results that are no phrase of the set
    # Of the least sure word, where the likeliest words, one by one, mean the same as the likeliest
    # whole result; else 0.
    least_confidence: float

    @property
    def best(self) -> VoskMeaning | None:
        """The likeliest meaning; None where it is likelier that none of the phrases was said."""
        if not self.candidates or self.candidates[0].probability <= self.outside:
            return None
        return self.candidates[0]

    @property
    def margin(self) -> float:
        """How much less likely anything else is than the best, in nats; inf: there is nothing."""
        if self.best is None:
            return 0.0
        others = (self.outside, *(each.probability for each in self.candidates[1:]))
        return math.log(self.best.probability / most) if (most := max(others)) else math.inf

    def probability_of(self, meaning: Hashable) -> float:
        """Of one meaning; 0 for one that is not among the results."""
        return next((each.probability for each in self.candidates if each.meaning == meaning), 0.0)


NOTHING = VoskResults((), 1.0, 0.0)


def weigh(
    alternatives: tuple[Alternative, ...], said: tuple[SaidWord, ...], phrases: PhraseSet
) -> VoskResults:
    """Put together what means the same; `said` are the likeliest words, word by word."""
    most = max(each.log_likelihood for each in alternatives)
    weights = [math.exp(each.log_likelihood - most) for each in alternatives]
    whole = sum(weights)
    outside = 0.0
    wording: dict[Hashable, tuple[str, ...]] = {}
    probability: dict[Hashable, float] = {}
    ranked = sorted(zip(weights, alternatives, strict=True), key=lambda each: -each[0])
    for weight, alternative in ranked:
        meaning = phrases.meaning_of(alternative.words)
        if meaning is None:
            outside += weight / whole
        else:
            wording.setdefault(meaning, alternative.words)
            probability[meaning] = probability.get(meaning, 0.0) + weight / whole
    candidates = sorted(
        (VoskMeaning(meaning, wording[meaning], probability[meaning]) for meaning in wording),
        key=lambda each: -each.probability,
    )
    words = tuple(each.word for each in said)
    same = bool(candidates) and phrases.meaning_of(words) == candidates[0].meaning
    least = min(each.confidence for each in said) if same else 0.0
    return VoskResults(tuple(candidates), outside, least)
