"""Which of very many phrases sound alike, without weighing every two of them in full.

The number of pairs grows with the square of the phrases, and a distance in `sounds` takes a tenth
of a millisecond. So all pairs are compared at once with what the distance cannot fall below, and
only those that are left are weighed. Nothing is lost by it: each bound is below the distance.

The first bound is on what was said, in any order: give every phone a height, nothing the height 0,
no two of them further apart than their change costs, and the sums of the heights of two phrases are
no further apart than the phrases (the duality of Kantorovich and Rubinstein, from memory). The
second is the distance itself, row by row in a band about the diagonal, given up where each of a
row's entries is too large already (Ukkonen, "Algorithms for approximate string matching",
Information and Control 64, 1985, from memory).
"""

from collections.abc import Callable, Iterator, Sequence
from functools import cache

import numpy as np
import numpy.typing as npt

from handsfree.words.sounds import MOST_ALIKE, PHONES, Phones, changed, lost, sound_alike

Ways = tuple[Phones, ...]
"""Each way to say a phrase."""

Watch = Callable[[int], None]
"""Called now and then with the number of phrases that were held against all later ones."""

_Floats = npt.NDArray[np.float32]
_Places = npt.NDArray[np.intp]

_HEIGHTS = 96  # of each phone; more let fewer pairs through, and cost more
_AT_ONCE = 100_000  # pairs
_NEAR = np.float32(MOST_ALIKE + 1e-3)  # single precision loses less in a sum of so few numbers
_TOO_FAR = np.float32(1e6)

_CODES = {phone: at for at, phone in enumerate(PHONES)}
_NOTHING = len(PHONES)


class Neighbourhood:
    """Many phrases, each of which can be said in several ways."""

    def __init__(self, phrases: Sequence[Ways]) -> None:
        """Raises KeyError for what is no ARPAbet phone."""
        self._phrases = phrases
        said = [(at, way) for at, ways in enumerate(phrases) for way in ways]
        self._owner = np.array([at for at, _ in said], np.intp)
        self._sums = _sums([way for _, way in said])
        self._codes, self._lengths = _coded([way for _, way in said])

    def pairs(self, watch: Watch = lambda _compared: None) -> Iterator[tuple[int, int]]:
        """Every two places whose phrases sound alike, the lower one first, in order.

        They are those of which `sounds.sound_alike` says so.
        """
        owner, said = self._owner, len(self._owner)
        firsts: list[_Places] = []
        seconds: list[_Places] = []
        waiting = 0
        for at in range(said):
            others = at + 1 + np.flatnonzero(_within(self._sums[at + 1 :], self._sums[at]))
            others = others[owner[others] != owner[at]]
            firsts.append(np.full(len(others), at, np.intp))
            seconds.append(others)
            waiting += len(others)
            # All ways of a phrase are weighed together, so that no pair is told twice.
            last = at + 1 == said
            if last or (waiting >= _AT_ONCE and owner[at + 1] != owner[at]):
                one, other = np.concatenate(firsts), np.concatenate(seconds)
                left = self._near(self._codes[one], self._lengths[one], other)
                pairs = zip(owner[one[left]].tolist(), owner[other[left]].tolist(), strict=True)
                for mine, yours in sorted(set(pairs)):
                    if sound_alike(self._phrases[mine], self._phrases[yours]):
                        yield mine, yours
                firsts, seconds, waiting = [], [], 0
                watch(int(owner[at]) + 1)

    def like(self, ways: Ways) -> list[int]:
        """The places of all phrases that sound like one more."""
        found: set[int] = set()
        codes, lengths = _coded(ways)
        for at, sums in enumerate(_sums(ways)):
            others = np.flatnonzero(_within(self._sums, sums))
            mine = np.repeat(codes[at : at + 1], len(others), axis=0)
            left = self._near(mine, np.full(len(others), lengths[at]), others)
            found.update(self._owner[others[left]].tolist())
        return [at for at in sorted(found) if sound_alike(ways, self._phrases[at])]

    def _near(self, mine: _Places, my_lengths: _Places, others: _Places) -> _Places:
        """Which of the pairs are near enough: each of `mine` in codes, and the one of others."""
        losing = _costs()[1]
        width = int(MOST_ALIKE / losing.min())  # so far off the diagonal so many phones were lost
        yours, your_lengths = self._codes[others], self._lengths[others]
        # At width + off: the cost of the first phones of mine, and as many and off of yours.
        row = np.full((len(mine), 2 * width + 1), _TOO_FAR, np.float32)
        row[:, width] = 0
        for by in range(min(width, yours.shape[1])):
            row[:, width + by + 1] = row[:, width + by] + losing[yours[:, by]]
        left = np.arange(len(mine))
        found: list[_Places] = [left[:0]]
        for number in range(mine.shape[1] + 1):
            if number:
                row = _next(row, mine[left, number - 1], yours[left], number)
            off = your_lengths[left] - number + width
            ended = my_lengths[left] == number
            inside = ended & (off >= 0) & (off <= 2 * width)
            cost = row[np.arange(len(left)), np.clip(off, 0, 2 * width)]
            found.append(left[inside & (cost <= _NEAR)])
            going = ~ended & (row.min(axis=1) <= _NEAR)
            left, row = left[going], row[going]
        return np.sort(np.concatenate(found))


def _next(above: _Floats, mine: _Places, yours: _Places, number: int) -> _Floats:
    """The row of the distance below `above`, where one more of my phones is said."""
    into, losing = _costs()
    width = above.shape[1] // 2
    row = np.full_like(above, _TOO_FAR)
    for at in range(2 * width + 1):
        upto = number + at - width  # phones of yours
        if upto < 0:
            continue
        if at < 2 * width:
            row[:, at] = above[:, at + 1] + losing[mine]
        if 0 < upto <= yours.shape[1]:
            phone = yours[:, upto - 1]
            row[:, at] = np.minimum(row[:, at], above[:, at] + into[mine, phone])
            if at:
                row[:, at] = np.minimum(row[:, at], row[:, at - 1] + losing[phone])
    return row


@cache
def _costs() -> tuple[_Floats, _Floats]:
    """What it costs to change each phone into each, and to lose it; nothing costs too much."""
    into = np.full((_NOTHING + 1, _NOTHING + 1), _TOO_FAR, np.float32)
    into[:_NOTHING, :_NOTHING] = [[changed(one, other) for other in PHONES] for one in PHONES]
    return into, np.array([*map(lost, PHONES), _TOO_FAR], np.float32)


@cache
def _heights() -> _Floats:
    """Several choices of heights, a row of phones each."""
    into, losing = _costs()
    apart = into.copy()
    apart[_NOTHING] = apart[:, _NOTHING] = losing
    apart[_NOTHING, _NOTHING] = 0
    # By detours too: then the ways to the nearest of some phones differ by no more than a change.
    for by in range(_NOTHING + 1):
        apart = np.minimum(apart, apart[:, by : by + 1] + apart[by : by + 1, :])
    draw = np.random.default_rng(0)  # the same choices in every run
    heights = []
    for _ in range(_HEIGHTS):
        some = draw.choice(_NOTHING + 1, int(draw.integers(1, _NOTHING // 2)), replace=False)
        nearest = apart[:, some].min(axis=1)
        heights.append(nearest - nearest[_NOTHING])
    return np.stack(heights)[:, :_NOTHING]


def _sums(said: Sequence[Phones]) -> _Floats:
    """The sums of the heights of each."""
    counts = np.zeros((len(said), _NOTHING), np.float32)
    for at, way in enumerate(said):
        for phone in way:
            counts[at, _CODES[phone]] += 1
    return counts @ _heights().T


def _within(sums: _Floats, mine: _Floats) -> npt.NDArray[np.bool_]:
    """Which may be near enough, by the first bound."""
    return np.asarray(np.abs(sums - mine).max(axis=1, initial=0) <= _NEAR)


def _coded(said: Sequence[Phones]) -> tuple[_Places, _Places]:
    """The phones by number, filled up with nothing; and how many each has."""
    lengths = np.array([len(way) for way in said], np.intp)
    codes = np.full((len(said), int(lengths.max(initial=0))), _NOTHING, np.intp)
    for at, way in enumerate(said):
        codes[at, : len(way)] = [_CODES[phone] for phone in way]
    return codes, lengths
