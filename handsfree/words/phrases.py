"""Phrases, and the set of them that is valid at one moment."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Protocol

from handsfree.words.alphabet import characters
from handsfree.words.automaton import Automaton, choice, optional, sequence, spoken, word
from handsfree.words.meanings import (
    Ambiguous,
    Confirmed,
    Identified,
    Meaning,
    NotUnderstood,
    Parse,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.numerals import PAIRS, figures_of, number
from handsfree.words.standard import StandardWord
from handsfree.words.units import any_unit

_UNIT = "unit "
_CORRECTION = "correction"
_PAIRS_REASON = "digit pairs can be two numbers, say each digit"


class Phrase(Protocol):
    """One kind of thing to say: how it is worded, and what a wording means."""

    @property
    def automaton(self) -> Automaton:
        """Every wording."""

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        """What the wording with these marks means."""


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
        return choice(*(_spoken(spelling) for spelling in self.word.spellings))

    def meaning(self, _marks: tuple[str, ...], /) -> Meaning:
        return Spoke(self.word)


@dataclass(frozen=True)
class Reading:
    """ "Pressure two niner five zero p s i": the name and the unit may be left out."""

    names: tuple[str, ...]  # what the quantity is called
    unit: str  # the unit asked for; any other can be said, and is then asked about
    digit_pairs: bool = False  # "fifty two nineteen" is accepted as 5219

    @property
    def automaton(self) -> Automaton:
        return _reading(self.names, self.unit)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        if PAIRS in marks and not self.digit_pairs:
            return Ambiguous(_PAIRS_REASON)
        unit = next((mark.removeprefix(_UNIT) for mark in marks if mark.startswith(_UNIT)), None)
        figures = figures_of(
            tuple(mark for mark in marks if mark != _CORRECTION and not mark.startswith(_UNIT))
        )
        return Stated(figures, unit, corrects=_CORRECTION in marks)


@dataclass(frozen=True)
class PlainNumber:
    """A number by itself, in any form, digit pairs too: for recordings of plain numbers."""

    @property
    def automaton(self) -> Automaton:
        return number()

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        return Stated(figures_of(marks))


@dataclass(frozen=True)
class Identity:
    """ "Serial number kilo zero four seven bravo": the name may be left out."""

    names: tuple[str, ...]

    @property
    def automaton(self) -> Automaton:
        return _identity(self.names)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        said = "".join(mark for mark in marks if mark != _CORRECTION)
        return Identified(said, corrects=_CORRECTION in marks)


@dataclass(frozen=True)
class PhraseSet:
    """Everything that can be said at one moment: both what to listen for and how to parse it."""

    phrases: tuple[Phrase, ...]
    critical: bool = False  # a mistake here can hurt: every listener that there is must be heard

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of every phrase."""
        return frozenset().union(*(phrase.automaton.vocabulary for phrase in self.phrases))

    @property
    def holds_values(self) -> bool:
        """Whether a number or an identity can be said."""
        return any(isinstance(each, Reading | PlainNumber | Identity) for each in self.phrases)

    def parse(self, words: Sequence[str]) -> Parse:
        """The meaning of `words`, in lower case, or why there is not exactly one."""
        found = {
            phrase.meaning(marks): None
            for phrase in self.phrases
            for marks in sorted(phrase.automaton.readings_of(words))
        }
        reason = next((each for each in found if isinstance(each, Ambiguous)), None)
        if reason is not None:
            return reason
        if not found:
            return NotUnderstood(tuple(words))
        if len(found) > 1:
            return Ambiguous("those words have two meanings here")
        return Understood(next(each for each in found if not isinstance(each, Ambiguous)))


BUILT_IN = {"number": PhraseSet((PlainNumber(),))}


@lru_cache(maxsize=512)
def _spoken(phrase: str) -> Automaton:
    return spoken(phrase)


@lru_cache(maxsize=64)
def _reading(names: tuple[str, ...], unit: str) -> Automaton:
    return sequence(
        optional(word("correction", _CORRECTION)),
        optional(choice(*(spoken(name) for name in names))),
        number(),
        optional(any_unit(unit, _UNIT)),
    )


@lru_cache(maxsize=64)
def _identity(names: tuple[str, ...]) -> Automaton:
    return sequence(
        optional(word("correction", _CORRECTION)),
        optional(choice(*(spoken(name) for name in names))),
        characters(),
    )
