"""Whether one listener bears out what another one has heard."""

from collections.abc import Hashable
from dataclasses import replace

from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.ctc import Wording
from handsfree.hearing.weighing import NOT_AMONG_BEST, Candidate
from handsfree.words.heard import Heard
from handsfree.words.numerals import number
from handsfree.words.phrases import PhraseSet

# Nats. Sound that is no number has a free path that is likelier than any number. Names and units
# are behind it in any voice, so what holds them may be farther behind, for each of its letters.
_FARTHEST_BEHIND_FREE = 3.0
_FARTHEST_A_LETTER = 1.0


def together(
    candidates: tuple[Candidate, ...], wordings: tuple[Wording, ...], phrases: PhraseSet
) -> tuple[tuple[str, ...], ...]:
    """One wording for each meaning that either listener has, by the product of both, best first."""
    words: dict[Hashable, tuple[str, ...]] = {}
    heard: dict[Hashable, float] = {}
    read: dict[Hashable, float] = {}
    for wording in wordings:
        meaning = phrases.meaning_of(wording.words)
        words.setdefault(meaning, wording.words)
        read[meaning] = wording.log_probability
    for candidate in candidates:
        meaning = phrases.meaning_of(candidate.words)
        words.setdefault(meaning, candidate.words)
        heard[meaning] = candidate.weight
    least_heard = 2 * NOT_AMONG_BEST
    least_read = min(read.values(), default=0.0) + NOT_AMONG_BEST
    ranked = sorted(
        words,
        key=lambda each: -(heard.get(each, least_heard) + read.get(each, least_read)),
    )
    return tuple(words[each] for each in ranked)


def is_near(behind_free: float, words: tuple[str, ...]) -> bool:
    """Whether the reader, held to no phrase, would hear nearly the same."""
    if is_named(words):
        return behind_free <= _FARTHEST_A_LETTER * len(" ".join(words))
    return behind_free <= _FARTHEST_BEHIND_FREE


def is_written_freely(words: tuple[str, ...], free_text: str) -> bool:
    """Whether Whisper, restricted to no phrases, writes a lone word itself.

    So short a sound fits some figure nearly always: "on" is one and "right" is fife to both, as
    long as they may hear nothing but numbers.
    """
    return not is_lone(words) or says_the_same(words, free_text)


def is_lone(words: tuple[str, ...]) -> bool:
    """Whether it is one word, or one behind "minus", which "my mistake" is taken for."""
    return len(words) == 1 or (len(words) == 2 and words[0] == "minus")


def with_opinions_of(first: Heard, second: Heard) -> Heard:
    """`second`, with what the listeners of `first` made of the same sound beside its own."""
    others = (each for each in first.opinions if each not in second.opinions)
    return replace(second, opinions=(*second.opinions, *others))


def is_named(words: tuple[str, ...]) -> bool:
    """Whether there are other words than those of a number."""
    return not number().vocabulary.issuperset(words)
