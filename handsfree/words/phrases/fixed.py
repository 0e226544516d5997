"""Phrases with fixed words: confirmations, standard words, orders, questions, everyday words."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from handsfree.words.automaton import Automaton, choice, sequence, spoken
from handsfree.words.everyday import (
    casual,
    negated,
    takes_back,
)
from handsfree.words.meanings import (
    Asked,
    Casual,
    Confirmed,
    Meaning,
    Negated,
    Ordered,
    Spoke,
    TookBack,
)
from handsfree.words.numerals import whole_number
from handsfree.words.plain import PlainWord
from handsfree.words.questions import Question, what_was
from handsfree.words.standard import StandardWord


@dataclass(frozen=True)
class Confirmation:
    """A phrase that confirms, word for word."""

    phrase: str  # in lower case, words apart by single spaces

    @property
    def automaton(self) -> Automaton:
        return _spoken(self.phrase)

    def meaning(self, _marks: tuple[str, ...], /) -> Meaning:
        return Confirmed(self.phrase)


@dataclass(frozen=True)
class Standard:
    """A standard word."""

    word: StandardWord

    @property
    def automaton(self) -> Automaton:
        return _standard(self.word)

    def meaning(self, _marks: tuple[str, ...], /) -> Meaning:
        return Spoke(self.word)


@dataclass(frozen=True)
class Order:
    """A plain word, and the whole number that it takes."""

    word: PlainWord

    @property
    def automaton(self) -> Automaton:
        return _order(self.word)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        return Ordered(self.word, int("".join(marks)) if self.word.takes_number else None)


@dataclass(frozen=True)
class Taken:
    """Words that take back what was said before, see `everyday.TAKES_BACK`."""

    @property
    def automaton(self) -> Automaton:
        return takes_back()

    def meaning(self, _marks: tuple[str, ...], /) -> Meaning:
        return TookBack()


@dataclass(frozen=True)
class CasualWords:
    """Words that people say without looking, see `everyday.CASUAL`."""

    @property
    def automaton(self) -> Automaton:
        return casual()

    def meaning(self, _marks: tuple[str, ...], /) -> Meaning:
        return Casual()


@dataclass(frozen=True)
class Negations:
    """Each of the phrases with a "not"."""

    phrases: tuple[str, ...]

    @property
    def automaton(self) -> Automaton:
        return negated(self.phrases)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        return Negated(marks[-1])


@dataclass(frozen=True)
class Query:
    """A question; with names, about what has one of them."""

    question: Question
    names: tuple[str, ...] = ()

    @property
    def automaton(self) -> Automaton:
        return what_was(self.names) if self.names else self.question.automaton

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        return Asked(self.question, marks[-1] if self.names else "")


def wordings_of(phrases: Iterable[object]) -> Iterator[str]:
    """Each wording of those that are confirmations, standard words, or orders without a number."""
    for each in phrases:
        match each:
            case Confirmation(phrase=phrase):
                yield phrase
            case Standard(word=word):
                yield from word.spellings
            case Order(word=word) if not word.takes_number:
                yield from word.spellings


@lru_cache(maxsize=512)
def _spoken(phrase: str) -> Automaton:
    return spoken(phrase)


@cache
def _standard(word: StandardWord) -> Automaton:
    return choice(*(spoken(spelling) for spelling in word.spellings))


@cache
def _order(word_: PlainWord) -> Automaton:
    said = choice(*map(spoken, word_.spellings))
    return sequence(said, whole_number()) if word_.takes_number else said
