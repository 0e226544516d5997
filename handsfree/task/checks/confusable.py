"""Phrases of a task that sound alike: which, how far apart they are, and what to say instead.

All phrases of a task and all words of the tool are listened for at every moment, so each phrase is
held against every other. How words sound comes from outside, as phones by word.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, islice, product

from handsfree.task.expectations import ChoiceExpected, ConfirmExpected
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.task.step import Step
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
    *(word.value for word in PlainWord),
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
    instead: str  # what to write

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
    phrases = [phrase for phrase, _, _ in _phrases(task)]
    phrases += [value for state in task.states.values() for value in state.values]
    phrases += _OWN
    phrases += [word for pairs in _CLEARER.values() for pair in pairs for word in pair]
    return frozenset(word for phrase in phrases for word in phrase.split())


def alike(task: Task, sounds: Sounds) -> tuple[Alike, ...]:
    """Every two phrases valid together that sound alike, each pair once, in the order of the task.

    A phrase with a word that `sounds` does not hold is left out; see `not_compared`.
    """
    found: dict[tuple[str, str], Alike] = {}
    phrases = [each for each in _phrases(task) if _said(each[0], sounds)]
    standard = [each for each in _OWN if _said(each, sounds)]
    known = (*dict.fromkeys(phrase for phrase, _, _ in phrases), *standard)
    for (one, first, _), (other, second, path) in combinations(phrases, 2):
        known_pair = one == other or (one, other) in found or (other, one) in found
        if not known_pair and _alike(one, other, sounds):
            apart = nearest(_said(one, sounds), _said(other, sounds))
            instead = _instead(one, other, _values(first, second), known, sounds)
            found[one, other] = Alike(path, one, other, apart, instead)
    for word, (phrase, _, path) in product(standard, phrases):
        if (word, phrase) not in found and _alike(word, phrase, sounds):
            apart = nearest(_said(word, sounds), _said(phrase, sounds))
            found[word, phrase] = Alike(path, word, phrase, apart, _INSTEAD_OF_STANDARD)
    return tuple(found.values())


def not_compared(task: Task, sounds: Sounds) -> tuple[str, ...]:
    """Phrases with a word that `sounds` does not hold."""
    phrases = dict.fromkeys(phrase for phrase, _, _ in _phrases(task))
    return tuple(phrase for phrase in phrases if not _said(phrase, sounds))


def one_phrase_for_opposites(task: Task) -> tuple[tuple[Path, str, str], ...]:
    """Each phrase that sets a state one way in one step and another way in a later one.

    With the path in the file and the name of the state. A phrase that is heard late would then
    confirm the opposite of what it was said for.
    """
    first: dict[tuple[str, str], str] = {}
    found: list[tuple[Path, str, str]] = []
    for at, step in enumerate(task.steps):
        if isinstance(step.expect, ConfirmExpected):
            for state, value in step.sets.items():
                before = first.setdefault((step.expect.confirm, state), value)
                if before != value:
                    found.append((("steps", at, "expect"), step.expect.confirm, state))
    return tuple(found)


_INSTEAD_OF_STANDARD = "Name the object in it, so that it is longer than the standard word"
_IN_GENERAL = "Say the object by its full name, and what was done in words that share no sounds"


def _phrases(task: Task) -> Iterator[tuple[str, Step, Path]]:
    for at, step in enumerate(task.steps):
        path: Path = ("steps", at, "expect")
        match step.expect:
            case ConfirmExpected(confirm=phrase):
                yield phrase, step, path
            case ChoiceExpected(choose=phrases):
                for phrase in phrases:
                    yield phrase, step, path


def _said(phrase: str, sounds: Sounds) -> tuple[Phones, ...]:
    """Every way to say `phrase`; none where a word is not known."""
    ways = product(*(sounds.get(word, ()) for word in phrase.split()))
    return tuple(tuple(phone for word in way for phone in word) for way in islice(ways, _MOST_WAYS))


def _alike(one: str, other: str, sounds: Sounds) -> bool:
    ones, others = _said(one, sounds), _said(other, sounds)
    return bool(ones and others) and sound_alike(ones, others)


def _values(first: Step, second: Step) -> tuple[tuple[str, str], ...]:
    """What two steps make of each state that both set."""
    return tuple(
        (value, second.sets[state])
        for state, value in first.sets.items()
        if second.sets.get(state, value) != value
    )


def _instead(
    one: str,
    other: str,
    values: tuple[tuple[str, str], ...],
    known: tuple[str, ...],
    sounds: Sounds,
) -> str:
    """A wording that was compared with every other phrase of the task, where one is found."""
    rest = [each for each in known if each not in (one, other)]
    for new_one, new_other in _rewordings(one, other, values):
        news = (new_one, new_other)
        pairs = [news, *product(news, rest)]
        compared = all(_said(each, sounds) for each in news)
        if compared and not any(
            mine == yours or _alike(mine, yours, sounds) for mine, yours in pairs
        ):
            return f"Write '{new_one}' and '{new_other}', for example"
    return _IN_GENERAL


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
