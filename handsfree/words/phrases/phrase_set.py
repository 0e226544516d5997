"""What every phrase has in common, and the set of them that is valid at one moment."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

from handsfree.words.automaton import Automaton
from handsfree.words.awaited import Awaited
from handsfree.words.meanings import (
    Ambiguous,
    Casual,
    Meaning,
    Negated,
    NotUnderstood,
    Parse,
    Understood,
)
from handsfree.words.phrases.fixed import wordings_of
from handsfree.words.phrases.values import (
    Date,
    Identity,
    PlainNumber,
    Reading,
    ReadingTwice,
    Seconded,
)


class Phrase(Protocol):
    """One kind of thing to say: how it is worded, and what a wording means."""

    @property
    def automaton(self) -> Automaton:
        """Every wording."""

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        """What the wording with these marks means."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where words stand in a phrase set."""

    is_whole: bool  # they are a phrase; what they mean is another question
    may_follow: frozenset[str]  # the words that can come next; empty: none can

    @property
    def is_begun(self) -> bool:
        """Whether they begin a phrase, and are none."""
        return not self.is_whole and bool(self.may_follow)


@dataclass(frozen=True)
class PhraseSet:
    """Everything that can be said at one moment: both what to listen for and how to parse it."""

    phrases: tuple[Phrase, ...]
    critical: bool = False  # a mistake here can hurt: every listener that there is must be heard
    # What a value is likely to be. It only tells when all of it was said: sets that differ in it
    # alone hear and mean the same.
    awaited: Awaited | None = field(default=None, compare=False)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of every phrase."""
        return frozenset().union(*(phrase.automaton.vocabulary for phrase in self.phrases))

    @cached_property
    def fixed(self) -> tuple[tuple[str, ...], ...]:
        """The wordings, word for word, of what confirms, of standard words and of most orders."""
        return tuple(tuple(each.split()) for each in wordings_of(self.phrases))

    @property
    def holds_values(self) -> bool:
        """Whether a number or an identity can be said."""
        return any(isinstance(each, _OF_VALUES) for each in self.phrases)

    def standing(self, words: Sequence[str]) -> "Standing":
        """Whether `words` are a phrase, and which words can come next."""
        whole, following = False, frozenset[str]()
        for phrase in self.phrases:
            reached = phrase.automaton.reached_by(words)
            whole = whole or not reached.isdisjoint(phrase.automaton.finals)
            following |= phrase.automaton.may_follow(reached)
        return Standing(whole, following)

    def parse(self, words: Sequence[str]) -> Parse:
        """The meaning of `words`, in lower case, or why there is not exactly one."""
        said = tuple(words)
        if said not in self._parsed:
            if len(self._parsed) >= _MOST_PARSED:
                self._parsed.clear()
            self._parsed[said] = self._parse(said)
        return self._parsed[said]

    @cached_property
    def _parsed(self) -> dict[tuple[str, ...], Parse]:
        """What was said last, and what it meant: people say the same few things again and again."""
        return {}

    @cached_property
    def _by_first_word(self) -> dict[str, tuple[Phrase, ...]]:
        """The phrases that begin with a word, in their order."""
        found: dict[str, list[Phrase]] = {}
        for phrase in self.phrases:
            for first in phrase.automaton.may_follow((0,)):
                found.setdefault(first, []).append(phrase)
        return {first: tuple(phrases) for first, phrases in found.items()}

    def _parse(self, words: tuple[str, ...]) -> Parse:
        phrases = self._by_first_word.get(words[0], ()) if words else self.phrases
        found = {
            phrase.meaning(marks): None
            for phrase in phrases
            for marks in sorted(phrase.automaton.readings_of(words))
        }
        for never_acted_on in (Casual, Negated):
            # They are there only so that they are not taken for something else.
            others = {each: None for each in found if not isinstance(each, never_acted_on)}
            found = others or found
        reason = next((each for each in found if isinstance(each, Ambiguous)), None)
        if reason is not None:
            return reason
        if not found:
            return self._not_understood(words)
        if len(found) > 1:
            return Ambiguous("those words have two meanings here")
        return Understood(next(each for each in found if not isinstance(each, Ambiguous)))

    def meaning_of(self, words: tuple[str, ...]) -> Hashable | None:
        """What tells `words` apart from words that mean something else; None: no phrase at all.

        Words with two meanings are a meaning of their own: they will be asked about.
        """
        match self.parse(words):
            case Understood(meaning):
                return meaning
            case NotUnderstood():
                return None
        return words

    def _not_understood(self, words: tuple[str, ...]) -> NotUnderstood:
        if not words:
            return NotUnderstood(words, "nothing was said")
        units = (each.units for each in self.phrases if isinstance(each, Reading))
        if any(unit.readings_of(words) for unit in units):
            return NotUnderstood(words, "a unit needs its number")
        return NotUnderstood(words)


_MOST_PARSED = 64
_OF_VALUES = Reading | ReadingTwice | PlainNumber | Identity | Date | Seconded
BUILT_IN = {"number": PhraseSet((PlainNumber(),))}
