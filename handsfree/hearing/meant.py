"""What words of a phrase set are for, as far as hearing cares."""

from handsfree.words.meanings import (
    BySecond,
    Casual,
    Dated,
    Identified,
    Negated,
    Stated,
    Understood,
    only_waits,
)
from handsfree.words.phrases import PhraseSet


def is_value(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether they state a value, which one wrong figure makes another one."""
    return isinstance(phrases.meaning_of(words), Stated | Identified | Dated | BySecond)


def is_to_wait(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether they only make the work wait, which is always safe."""
    return only_waits(phrases.parse(words))


def moves_nothing(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether they are what is never acted on: said by habit, or with a "not"."""
    parsed = phrases.parse(words)
    return isinstance(parsed, Understood) and isinstance(parsed.meaning, Casual | Negated)
