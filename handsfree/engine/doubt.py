"""What was heard of the question that is open, and was not believed.

It counts when the question is asked again. By rising cost, the same is asked for once more, then in
another form; then what was heard is offered: said to the person, who says it again if it is right,
see `trust`. What they deny is not offered again; the next best of what was heard takes its place,
so that somebody whose "six" always sounds like "eight" gets past it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from handsfree.engine.evidence import Saying, agrees, belief
from handsfree.engine.trust import LEAST_OF_A_WORD
from handsfree.engine.waiting import WaitsFor
from handsfree.words.heard import Heard
from handsfree.words.meanings import (
    Asked,
    BySecond,
    Casual,
    Confirmed,
    Dated,
    Identified,
    Meaning,
    Negated,
    Ordered,
    Parse,
    Spoke,
    Stated,
    TookBack,
    Understood,
)
from handsfree.words.phrases import PhraseSet
from handsfree.words.standard import StandardWord

# So many of one question that agree are offered.
ENOUGH_TO_OFFER = 2
# A digit by itself takes about half a second, and a pause as long: whoever was asked to speak
# slowly and is quicker did not do it. Judgement; the slow sayings that were measured take 0.8 s.
SLOW_WORD = timedelta(milliseconds=600)

# After so many utterances in a row that were not believed, the next is asked for word by word.
ASKED_SLOWLY_FROM = 2

_ALTERNATIVES = 4

# The step, what is waited for, and whose headset counts there, if one alone does.
Question = tuple[int, WaitsFor, int | None]


@dataclass(frozen=True, slots=True)
class Wording:
    """Words that one utterance may have said, with their only meaning."""

    words: tuple[str, ...]
    meaning: Meaning


@dataclass(frozen=True, slots=True)
class Try:
    """One utterance that was not believed: all it may have said, likeliest first."""

    wordings: tuple[Wording, ...]
    score: float  # of the likeliest
    slow: bool = False  # said word by word, as it was asked for


@dataclass(frozen=True, slots=True)
class Offer:
    """What was said to the person as perhaps heard."""

    wording: Wording
    sayings_left: int  # how often it must still be said again
    waits: bool = False  # it waits for "affirm" already, which does not count before


@dataclass(frozen=True, slots=True)
class Doubt:
    """Of one question: the utterances that were not believed, and what came of them."""

    question: Question | None = None
    count: int = 0  # utterances that were not believed, in a row
    in_all: int = 0  # of the question
    tries: tuple[Try, ...] = ()
    denied: tuple[Meaning, ...] = ()  # offered, and not what was said
    offer: Offer | None = None

    def about(self, question: Question) -> "Doubt":
        """What is known of this question; nothing where another one was open."""
        return self if self.question == question else Doubt(question)

    def belief(self, meaning: Meaning, heard: Heard, score: float) -> float:
        """P(`meaning` was said), 0 to 1, as `heard` now with `score`, and before.

        Answers are held against each other, and "affirm" against "negative". Any other word is only
        held against itself: who said "say again" after a value did not take the value back.
        """
        kind = _kind(meaning)
        earlier = [
            Saying(each.wordings[0].meaning, each.score, int(each.slow))
            for each in self.tries
            if _kind(each.wordings[0].meaning) == kind and not self.is_denied(each.wordings[0])
        ]
        now = Saying(meaning, score, int(self.is_slow(heard)))
        return belief([*earlier, now], meaning) if earlier else score

    def is_denied(self, wording: Wording) -> bool:
        """Whether the person has said that this is not what they said."""
        return any(agrees(wording.meaning, each) for each in self.denied)

    def is_slow(self, heard: Heard) -> bool:
        """Whether an utterance was asked for word by word, and was said so."""
        slowly = heard.ended - heard.started >= SLOW_WORD * max(1, len(heard.words))
        return slowly and self.count >= ASKED_SLOWLY_FROM

    def with_try(self, wordings: tuple[Wording, ...], heard: Heard) -> "Doubt":
        """One utterance more that was not believed."""
        tries = self.tries
        if wordings:
            tries = (*tries, Try(wordings, heard.score, self.is_slow(heard)))
        return replace(self, tries=tries, count=self.count + 1, in_all=self.in_all + 1)

    def best_to_offer(self) -> Wording | None:
        """What most of the utterances may have said and was not denied; None: no two agree."""
        found: list[tuple[Wording, list[Try]]] = []
        for each in self.tries:
            wording = self.likeliest(each.wordings)
            if wording is None:
                continue
            for first, group in found:
                if agrees(first.meaning, wording.meaning):
                    group.append(each)
                    break
            else:
                found.append((wording, [each]))
        enough = [each for each in found if len(each[1]) >= ENOUGH_TO_OFFER]
        if not enough:
            return None
        return max(enough, key=lambda each: (len(each[1]), max(one.score for one in each[1])))[0]

    def heard_as(self, meaning: Meaning) -> int:
        """How many utterances most likely said this."""
        return sum(
            wording is not None and agrees(wording.meaning, meaning)
            for wording in (self.likeliest(each.wordings) for each in self.tries)
        )

    def likeliest(self, wordings: Sequence[Wording]) -> Wording | None:
        """The first that was not denied."""
        return next((each for each in wordings if not self.is_denied(each)), None)

    def is_offered(self, wordings: Sequence[Wording]) -> bool:
        """Whether an utterance that may have said these says again what is offered."""
        likeliest = self.likeliest(wordings)
        return (
            self.offer is not None
            and likeliest is not None
            and agrees(likeliest.meaning, self.offer.wording.meaning)
        )

    def denying(self) -> "Doubt":
        """The person has said that what is offered is wrong."""
        if self.offer is None:
            return self
        denied = (*self.denied, self.offer.wording.meaning)
        return replace(self, denied=denied, offer=None, in_all=self.in_all + 1)


def wordings_of(heard: Heard, parsed: Parse, phrases: PhraseSet) -> tuple[Wording, ...]:
    """What an utterance may have said that is worth remembering, likeliest first.

    A word that is acted on without being read back must have been heard at least faintly: noise is
    bent into some phrase of the set as well, with next to no score.
    """
    if not isinstance(parsed, Understood) or isinstance(parsed.meaning, _NOT_OFFERED):
        return ()
    if _is_word(parsed.meaning) and heard.score < LEAST_OF_A_WORD:
        return ()
    found = [Wording(heard.words, parsed.meaning)]
    for words in heard.alternatives[:_ALTERNATIVES]:
        other = phrases.parse(words)
        # Only a value is so near to another one that the next best may be it.
        if isinstance(other, Understood) and _kind(other.meaning) == "answer":
            found.append(Wording(words, other.meaning))
    return tuple(found)


# Nothing would follow from them but help.
_NOT_OFFERED = (TookBack, Asked, Casual, Negated)


def _is_word(meaning: Meaning) -> bool:
    return isinstance(meaning, Spoke | Ordered)


def _kind(meaning: Meaning) -> object:
    match meaning:
        case Stated() | Identified() | Dated() | BySecond() | Confirmed():
            return "answer"
        case Spoke(word=StandardWord.AFFIRM | StandardWord.NEGATIVE):
            return "yes or no"
    return meaning
