"""How well each thing that a person said was heard, by the hearings of one run."""

from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.engine.trust import PHRASE_AT, VALUE_AT
from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class HeardWords:
    """One wording, and how sure the hearing was each time."""

    words: str  # empty: nothing that fits was heard
    scores: tuple[float, ...]  # P(words are what was said), 0 to 1, in the order of the run

    @property
    def mean(self) -> float:
        """How sure it was on the whole."""
        return sum(self.scores) / len(self.scores)

    @property
    def advice(self) -> str:
        """What the person can do."""
        if not self.words:
            return "nothing that fits was heard: say one phrase, then wait"
        if min(self.scores) >= VALUE_AT:
            return "heard well"
        if self.mean >= PHRASE_AT:
            return "mostly heard: say it a little slower"
        return "hard to hear: come closer, and say each word"


def heard_words(hearings: Iterable[Heard]) -> tuple[HeardWords, ...]:
    """Each wording once, the one that was heard worst first."""
    scores: dict[str, list[float]] = {}
    for each in hearings:
        scores.setdefault(" ".join(each.words), []).append(each.score)
    found = [HeardWords(words, tuple(of_words)) for words, of_words in scores.items()]
    return tuple(sorted(found, key=lambda each: (each.mean, each.words)))
