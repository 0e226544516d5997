"""Which hypothesis was said: two decodings of one utterance, weighed together.

The decoding restricted to the phrase set knows what may be said, but loses or doubles repeated
figures and a leading "oh". The free decoding, writing figures, makes other mistakes. The product of
the two probabilities is right more often than either: of the readings of the tuning half of AN4 at
10 dB the restricted decoding alone has 93.7 % right and the product 96.1 %, at 5 dB 89.0 % and
92.1 %.
"""

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

from handsfree.hearing.agreement import as_words, canonical
from handsfree.hearing.whisper import FreeText, Hypothesis
from handsfree.words.phrases import PhraseSet

# What one decoding does not have among its best is less likely to it than e^-6, and not 0.
NOT_AMONG_BEST = -6.0  # nats


@dataclass(frozen=True, slots=True)
class Candidate:
    """Words that the phrase set accepts, and what both decodings say of them."""

    words: tuple[str, ...]
    log_probability: float  # natural log, of the words when only words of the phrase set may come
    support: float  # natural log, of the same said in any words, not below NOT_AMONG_BEST

    @property
    def weight(self) -> float:
        """Natural log of the product of both."""
        return self.log_probability + self.support


def weigh(
    hypotheses: Iterable[Hypothesis], texts: Sequence[FreeText], phrases: PhraseSet
) -> tuple[Candidate, ...]:
    """The best wording of each meaning, best first; empty where `phrases` accepts none."""
    free: dict[str, float] = {}
    for text in texts:
        same = canonical(text.text)
        free[same] = free.get(same, 0.0) + math.exp(text.log_probability)
    restricted = {each.words: each.log_probability for each in hypotheses}
    # The restricted decoding spends its hypotheses on near misses; the free one may know better.
    for text in texts:
        restricted.setdefault(as_words(text.text), NOT_AMONG_BEST)
    best: dict[Hashable, Candidate] = {}
    for words, log_probability in restricted.items():
        meaning = phrases.meaning_of(words)
        if meaning is None:
            continue
        probability = free.get(canonical(" ".join(words)), 0.0)
        support = max(NOT_AMONG_BEST, math.log(probability)) if probability else NOT_AMONG_BEST
        candidate = Candidate(words, log_probability, support)
        if meaning not in best or candidate.weight > best[meaning].weight:
            best[meaning] = candidate
    return tuple(sorted(best.values(), key=lambda each: -each.weight))


def margin(candidates: tuple[Candidate, ...]) -> float:
    """How far the second meaning is behind the first, in nats; inf where there is no second."""
    if len(candidates) < 2:
        return math.inf
    return candidates[0].weight - candidates[1].weight
