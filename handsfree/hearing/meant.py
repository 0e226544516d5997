"""What words of a phrase set are for, as far as hearing cares."""

from handsfree.engine.phase import HARMLESS_ORDERS, HARMLESS_WORDS
from handsfree.words.meanings import (
    Asked,
    BySecond,
    Casual,
    Dated,
    Identified,
    Negated,
    Ordered,
    Spoke,
    Stated,
    TookBack,
    Understood,
    only_waits,
)
from handsfree.words.phrases import PhraseSet
from handsfree.words.standard import StandardWord


def is_value(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether they state a value, which one wrong figure makes another one."""
    return isinstance(phrases.meaning_of(words), Stated | Identified | Dated | BySecond)


def is_to_wait(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether they only make the work wait, which is always safe."""
    return only_waits(phrases.parse(words))


def moves_nothing(words: tuple[str, ...], phrases: PhraseSet) -> bool:
    """Whether nothing that is confirmed, chosen or gone on with follows from them.

    Such as what is said by habit, a phrase with a "not", a question, or what takes something back.
    """
    parsed = phrases.parse(words)
    if not isinstance(parsed, Understood):
        return False
    never = isinstance(parsed.meaning, Casual | Negated | TookBack)
    return never or waits_or_asks(parsed)


def would_do_something_else(
    words: tuple[str, ...], phrases: PhraseSet
) -> tuple[tuple[str, ...], ...]:
    """The phrases with fixed words that mean something else than `words`, and move something."""
    meant = phrases.meaning_of(words)
    return tuple(
        each
        for each in phrases.fixed
        if phrases.meaning_of(each) != meant and not moves_nothing(each, phrases)
    )


def waits_or_asks(parsed: Understood) -> bool:
    """Whether it only makes the work wait, or asks something."""
    match parsed.meaning:
        case Asked():
            return True
        case Spoke(word=word) if word in _ASKING:
            return True
        case Ordered(word=word) if word in HARMLESS_ORDERS:
            return True
    return only_waits(parsed)


_ASKING = HARMLESS_WORDS | {StandardWord.READ_BACK}
