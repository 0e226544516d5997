"""Phrases of a task that sound alike: which, how far apart they are, and what to say instead.

All phrases of a task and all words of the tool are listened for at every moment, so each phrase is
held against every other. How words sound comes from outside, as phones by word.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice, product

from handsfree.task.checks.opposites import Opposite
from handsfree.task.checks.phrases import phrases_in_place
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.task.step import Step
from handsfree.words.neighbours import Neighbourhood, Watch
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.sounds import Phones, nearest, sound_alike
from handsfree.words.standard import StandardWord

Sounds = Mapping[str, tuple[Phones, ...]]  # each way to say a word

# Opposites that sound alike, and pairs in their place that do not. Common practice, no source.
_CLEARER: dict[tuple[str, str], tuple[tuple[str, str], ...]] = {
    ("in", "out"): (("fitted", "removed"),),
    ("on", "off"): (("running", "stopped"), ("fitted", "removed")),
    ("up", "down"): (("raised", "lowered"),),
    ("connected", "disconnected"): (("fitted", "removed"),),
    ("attached", "detached"): (("fitted", "removed"),),
    ("installed", "uninstalled"): (("installed", "removed"),),
    ("locked", "unlocked"): (("locked", "released"),),
    ("latched", "unlatched"): (("latched", "open"),),
    ("armed", "disarmed"): (("armed", "safe"),),
    ("covered", "uncovered"): (("covered", "open"),),
    ("charged", "discharged"): (("charged", "empty"),),
    ("pressurised", "depressurised"): (("charged", "empty"),),
    ("pressurized", "depressurized"): (("charged", "empty"),),
}
# What can be heard beside the phrases of the task.
_OWN = (
    *(spelling for word in StandardWord for spelling in word.spellings),
    *(spelling for word in PlainWord for spelling in word.spellings),
    INSPECTED,
    REJECTED,
)
# More ways to say one phrase than this are not compared: each word has few that differ much.
_MOST_WAYS = 16


@dataclass(frozen=True, slots=True)
class Alike:
    """Two phrases that can be taken for each other."""

    path: Path  # of the later one in the task file
    one: str  # the earlier one, or a standard word
    other: str
    distance: float  # in phones

    @property
    def same_sound(self) -> bool:
        """Whether nothing at all tells them apart."""
        return self.distance == 0.0

    def describe(self) -> str:
        """What is wrong, as a clause."""
        if self.same_sound:
            return f"'{self.one}' and '{self.other}' sound the same"
        return f"'{self.one}' and '{self.other}' sound alike ({self.distance:.1f} phones apart)"


def words_of(task: Task) -> frozenset[str]:
    """Every word of a phrase of `task`, a state's value, a word of the tool or a suggestion."""
    phrases = [phrase for phrase, _, _ in phrases_in_place(task)]
    phrases += [value for state in task.states.values() for value in state.values]
    phrases += _OWN
    phrases += [word for pairs in _CLEARER.values() for pair in pairs for word in pair]
    return frozenset(word for phrase in phrases for word in phrase.split())


class Rehearsal:
    """The phrases of a task, held against each other and against the standard words.

    A phrase with a word that `sounds` does not hold is left out; see `not_compared`.
    """

    def __init__(self, task: Task, sounds: Sounds) -> None:
        self._sounds = sounds
        # Where a phrase is said again, its first place stands for it.
        first: dict[str, tuple[Step, Path]] = {}
        for phrase, step, path in phrases_in_place(task):
            if _said(phrase, sounds):
                first.setdefault(phrase, (step, path))
        self._first = first
        self._own = tuple(each for each in _OWN if each not in first and _said(each, sounds))
        self._known = (*first, *self._own)
        self._sounds_of_all = Neighbourhood([_said(each, sounds) for each in self._known])

    def alike(self, watch: Watch = lambda _compared: None) -> Iterator[Alike]:
        """Every two phrases that sound alike, each pair once, in the order of the task.

        Those with a standard word come last. `watch` hears of the phrases that were compared.
        """
        phrases = len(self._first)
        standard: list[Alike] = []
        for at, later in self._sounds_of_all.pairs(watch):
            one, other = self._known[at], self._known[later]
            apart = nearest(_said(one, self._sounds), _said(other, self._sounds))
            if later < phrases:
                yield Alike(self._first[other][1], one, other, apart)
            elif at < phrases:
                standard.append(Alike(self._first[one][1], other, one, apart))
        yield from sorted(standard, key=lambda each: self._known.index(each.one))

    def instead_of(self, pair: Alike | Opposite) -> str:
        """What to write: a wording that was compared with every other phrase, if one is found."""
        if pair.one in self._own:
            return _INSTEAD_OF_STANDARD
        values = _values(self._first[pair.one][0], self._first[pair.other][0])
        given_up = {pair.one, pair.other}
        for news in _rewordings(pair.one, pair.other, values):
            said = [_said(each, self._sounds) for each in news]
            if not all(said) or news[0] == news[1] or sound_alike(*said):
                continue
            near = {self._known[at] for ways in said for at in self._sounds_of_all.like(ways)}
            if not near - given_up:
                return f"Write '{news[0]}' and '{news[1]}', for example"
        return _IN_GENERAL


def not_compared(task: Task, sounds: Sounds) -> tuple[str, ...]:
    """Phrases with a word that `sounds` does not hold."""
    phrases = dict.fromkeys(phrase for phrase, _, _ in phrases_in_place(task))
    return tuple(phrase for phrase in phrases if not _said(phrase, sounds))


_INSTEAD_OF_STANDARD = "Name the object in it, so that it is longer than the standard word"
_IN_GENERAL = "Say the object by its full name, and what was done in words that share no sounds"


def _said(phrase: str, sounds: Sounds) -> tuple[Phones, ...]:
    """Every way to say `phrase`; none where a word is not known."""
    ways = product(*(sounds.get(word, ()) for word in phrase.split()))
    return tuple(tuple(phone for word in way for phone in word) for way in islice(ways, _MOST_WAYS))


def _values(first: Step, second: Step) -> tuple[tuple[str, str], ...]:
    """What two steps make of each state that both set."""
    return tuple(
        (value, second.sets[state])
        for state, value in first.sets.items()
        if second.sets.get(state, value) != value
    )


def _rewordings(
    one: str, other: str, values: tuple[tuple[str, str], ...]
) -> Iterator[tuple[str, str]]:
    """Both phrases with the words that differ put in clearer ones: first those of the states."""
    mine, yours = one.split(), other.split()
    same = 0
    while same < min(len(mine), len(yours)) and mine[same] == yours[same]:
        same += 1
    # Without words that both begin with there is no object to name.
    if same == 0:
        return
    shared = " ".join(mine[:same])
    ends = (" ".join(mine[same:]), " ".join(yours[same:]))
    pairs = (
        *values,
        *_CLEARER.get(ends, ()),
        *(pair[::-1] for pair in _CLEARER.get(ends[::-1], ())),
    )
    yield from ((f"{shared} {new}", f"{shared} {other_new}") for new, other_new in pairs)
