"""How far apart two phrases sound, where each word is known."""

from collections.abc import Mapping
from itertools import islice, product

from handsfree.words.sounds import Phones, nearest

Sounds = Mapping[str, tuple[Phones, ...]]
"""Each way to say a word."""

_MOST_WAYS = 4
_UNKNOWN = 99.0  # phones


def ways_to_say(phrase: str, sounds: Sounds) -> tuple[Phones, ...]:
    """Every way to say `phrase`, few; none where a word is not known."""
    ways = product(*(sounds.get(word, ()) for word in phrase.split()))
    return tuple(tuple(phone for word in way for phone in word) for way in islice(ways, _MOST_WAYS))


def apart(one: str, other: str, sounds: Sounds) -> float:
    """The distance of two phrases in phones; very far where one of them cannot be said."""
    ones, others = ways_to_say(one, sounds), ways_to_say(other, sounds)
    return nearest(ones, others) if ones and others else _UNKNOWN
