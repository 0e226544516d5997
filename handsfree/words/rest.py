"""What may still be said after words that were heard: whether a person has finished.

The phrase set that is listened with knows what can follow, and a task knows what its value is
likely to be. Nothing here believes or refuses anything: it only tells how long to wait for more.
"""

import re
from enum import Enum
from functools import cache

from handsfree.words.awaited import AnyWords, Lengths, Scale
from handsfree.words.everyday import TAKES_BACK, exactly, hedge_behind, negations
from handsfree.words.meanings import (
    BySecond,
    Dated,
    Identified,
    Meaning,
    Negated,
    Ordered,
    Stated,
    TookBack,
    Understood,
)
from handsfree.words.numerals import digit, number
from handsfree.words.phrases import PhraseSet, ReadingTwice
from handsfree.words.units import UNITS

CORRECTION = "correction"
_PLAIN_FIGURES = re.compile(r"-?\d+(\.\d+)?")
_ONE_BY_ONE = digit().vocabulary | {"decimal", "point", "minus"}
# The longest that can follow a fixed phrase and leave it what it means, such as "wait - a moment".
_MOST_WORDS = 4


class Rest(Enum):
    """What may still be said."""

    NOTHING = "nothing"  # but what takes it back
    UNIT = "a unit"  # all figures of the value were said
    MORE = "more"  # it is whole, and more can follow
    LIKELY_MORE = "likely more"  # it is whole, but no value that can be meant
    BEGUN = "the rest"  # it is the beginning of a phrase


def rest_of(words: tuple[str, ...], phrases: PhraseSet) -> Rest | None:
    """What may still be said after `words`; None where they are no phrase and begin none."""
    standing = phrases.standing(words)
    if not standing.is_whole:
        return Rest.BEGUN if standing.may_follow else None
    if isinstance(phrases.awaited, AnyWords):
        return Rest.MORE
    parsed = phrases.parse(words)
    if not isinstance(parsed, Understood):
        return Rest.LIKELY_MORE if standing.may_follow - _takes_back() else Rest.MORE
    meaning = parsed.meaning
    if isinstance(meaning, BySecond):
        meaning = meaning.stated
    further = standing.may_follow - _takes_back()
    if not further:
        return Rest.NOTHING
    match meaning:
        case Stated():
            return _after_value(words, meaning, further, phrases)
        case Identified(characters=characters):
            return _after_characters(len(characters), phrases)
        case Dated() | Ordered(number=int()):
            return Rest.MORE
    return Rest.NOTHING if _stays(words, meaning, phrases, _MOST_WORDS) else Rest.MORE


def _after_value(
    words: tuple[str, ...], stated: Stated, further: frozenset[str], phrases: PhraseSet
) -> Rest:
    must_be_twice = any(isinstance(each, ReadingTwice) for each in phrases.phrases)
    if must_be_twice and not stated.twice:
        return Rest.LIKELY_MORE
    if stated.unit is not None:
        # "Degrees" - "celsius": the rest of a unit is said in one breath with it.
        return Rest.MORE if further - _units() else Rest.UNIT
    scale = phrases.awaited
    if not isinstance(scale, Scale) or not _PLAIN_FIGURES.fullmatch(stated.figures):
        return Rest.MORE
    one_by_one = not (number().vocabulary - _ONE_BY_ONE).intersection(words)
    goes_on = scale.may_go_on(stated.figures)
    if not scale.holds(stated.value):
        return Rest.LIKELY_MORE if goes_on and one_by_one else Rest.MORE
    if goes_on or not one_by_one or further - number().vocabulary - _units():
        return Rest.MORE
    return Rest.UNIT


def _after_characters(length: int, phrases: PhraseSet) -> Rest:
    if not isinstance(phrases.awaited, Lengths):
        return Rest.MORE
    expected = phrases.awaited.characters
    if length in expected:
        return Rest.UNIT if length == max(expected) else Rest.MORE
    return Rest.LIKELY_MORE if length < max(expected) else Rest.MORE


def _stays(words: tuple[str, ...], meaning: Meaning, phrases: PhraseSet, most: int) -> bool:
    """Whether all that can follow leaves the meaning as it is, or takes it back."""
    for each in phrases.standing(words).may_follow - {CORRECTION}:
        longer = (*words, each)
        standing = phrases.standing(longer)
        if standing.is_whole:
            parsed = phrases.parse(longer)
            if not isinstance(parsed, Understood):
                return False
            if parsed.meaning != meaning and not isinstance(parsed.meaning, TookBack | Negated):
                return False
        if most == 1 and standing.may_follow:
            return False
        if most > 1 and not _stays(longer, meaning, phrases, most - 1):
            return False
    return True


@cache
def _takes_back() -> frozenset[str]:
    """The words with which something begins that takes a value back, or leaves it as it is."""
    beginnings = (
        hedge_behind().may_follow((0,)),
        exactly().may_follow((0,)),
        negations(),
        (each.split()[0] for each in TAKES_BACK),
    )
    return frozenset({CORRECTION}.union(*beginnings))


@cache
def _units() -> frozenset[str]:
    return frozenset(word for unit in UNITS.values() for said in unit.said for word in said.split())
