"""How far apart two phrases sound, where each word is known."""

from collections.abc import Mapping
from functools import lru_cache
from itertools import islice, product

from handsfree.words.sounds import Phones, changed, lost, nearest

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


def stretch_apart(one: str, other: str, sounds: Sounds) -> float | None:
    """How far the shorter of two phrases is from the nearest stretch of the longer one.

    In shares of the phones of the shorter one, 0 where it is in the longer one and 1 at most; None
    where one of them cannot be said, so that nothing is known.
    """
    ones, others = ways_to_say(one, sounds), ways_to_say(other, sounds)
    if not ones or not others or not all((*ones, *others)):
        return None
    pairs = (sorted(pair, key=_weight) for pair in product(ones, others))
    return min(_from_stretch(short, long) / _weight(short) for short, long in pairs)


def _weight(phones: Phones) -> float:
    return sum(map(lost, phones))


@lru_cache(maxsize=65536)
def _from_stretch(short: Phones, long: Phones) -> float:
    """The edit distance of `short` from that stretch of `long` which is nearest to it."""
    row = [0.0] * (len(long) + 1)  # what stands before the stretch costs nothing
    for mine in short:
        above, row = row, [row[0] + lost(mine)]
        for at, yours in enumerate(long):
            row.append(
                min(
                    above[at + 1] + lost(mine),
                    row[at] + lost(yours),
                    above[at] + changed(mine, yours),
                )
            )
    return min(row)  # and neither does what stands behind it
