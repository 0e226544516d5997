"""Phrases of a task that sound alike: which, how far apart they are, and what to say instead.

All phrases of a task and all words of the tool are listened for at every moment, so each phrase is
held against every other. How words sound comes from outside, as phones by word.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice, permutations, product

from handsfree.task.expectations import ChoiceExpected, ConfirmExpected, IdentityExpected
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.task.step import Step
from handsfree.words.neighbours import Neighbourhood, Watch
from handsfree.words.number_words import USUAL_DIGIT_WORDS
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.sounds import LEAST_DISTANCE, Phones, nearest, sound_alike
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


def phrases_of(task: Task) -> tuple[str, ...]:
    """Every phrase that confirms a step of `task` or is chosen in one, once."""
    return tuple(dict.fromkeys(phrase for phrase, _, _ in _phrases(task)))


def words_of(task: Task) -> frozenset[str]:
    """Every word of a phrase of `task`, a state's value, a word of the tool or a suggestion."""
    phrases = [phrase for phrase, _, _ in _phrases(task)]
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
        for phrase, step, path in _phrases(task):
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

    def instead_of(self, pair: "Alike | Opposite") -> str:
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


@dataclass(frozen=True, slots=True)
class Opposite:
    """Two phrases for opposite states, of which one is the other behind a prefix."""

    path: Path  # of the later one in the task file
    one: str  # the earlier one
    other: str
    critical: bool  # a step that one of them answers is critical

    def describe(self) -> str:
        """What is wrong, as a clause."""
        return (
            f"'{self.one}' and '{self.other}' are opposites that differ only by a prefix, "
            "which is the first to be lost in noise"
        )


_PREFIXES = ("un", "dis", "de", "in", "im", "non", "mis")


def opposites_by_prefix(task: Task) -> tuple[Opposite, ...]:
    """Each two phrases that say a word with a prefix and without, for what excludes one another.

    They do where both are choices of one step, or where their steps set a state two ways.
    Every phrase of a task can be heard at every moment, so those of different steps are heard for
    each other as well. Common practice, no source.
    """
    places: dict[str, list[tuple[int, Step, Path]]] = {}
    for phrase, step, path in _phrases(task):
        places.setdefault(phrase, []).append((task.index_of[step.id], step, path))
    found: dict[tuple[str, str], Opposite] = {}
    for phrase, mine in places.items():
        for without in _without_prefix(phrase):
            for at, step, path in mine:
                for other_at, other, other_path in places.get(without, ()):
                    if not _exclude(step, other, phrase, without):
                        continue
                    one, two = (phrase, without) if at < other_at else (without, phrase)
                    later = path if at >= other_at else other_path
                    before = found.get((one, two))
                    critical = step.critical or other.critical or bool(before and before.critical)
                    found[one, two] = Opposite(before.path if before else later, one, two, critical)
    return tuple(found.values())


def _without_prefix(phrase: str) -> Iterator[str]:
    words = phrase.split()
    for at, word in enumerate(words):
        for prefix in _PREFIXES:
            if word.startswith(prefix) and len(word) > len(prefix) + 2:
                yield " ".join((*words[:at], word.removeprefix(prefix), *words[at + 1 :]))


def _exclude(step: Step, other: Step, phrase: str, without: str) -> bool:
    if step is other:
        return True
    mine, yours = _set_by(step, phrase), _set_by(other, without)
    return any(yours.get(name, value) != value for name, value in mine.items())


def _set_by(step: Step, phrase: str) -> Mapping[str, str]:
    """The states that a phrase sets where it answers `step`."""
    leads = step.then.get(phrase)
    return {**step.sets, **(leads.sets if leads else {})}


def identities_alike(
    task: Task, sounds: Sounds
) -> tuple[tuple[Path, str, str, tuple[str, str]], ...]:
    """Each two accepted identities that differ in one character, whose names sound alike.

    With the path of the later one, and the words that are taken for each other. Only figures are
    compared: the words for letters were chosen to be far apart (ICAO Annex 10 Vol II, figure 5-1).
    A figure is compared as it is usually said, for "nine" is heard everywhere in place of "niner".
    """
    near = _figures_alike(sounds)
    seen: dict[tuple[int, str, str], list[tuple[str, str]]] = {}
    found: dict[tuple[str, str], tuple[Path, str, str, tuple[str, str]]] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, IdentityExpected):
            continue
        for identity in step.expect.accept:
            said = identity.replace("-", "")
            for place, character in enumerate(said):
                key = (place, said[:place], said[place + 1 :])
                for other, before in seen.setdefault(key, []):
                    words = near.get((before, character))
                    if words is not None and (other, identity) not in found:
                        path: Path = ("steps", at, "expect", "accept")
                        found[other, identity] = (path, other, identity, words)
                if (identity, character) not in seen[key]:
                    seen[key].append((identity, character))
    return tuple(found.values())


def _figures_alike(sounds: Sounds) -> dict[tuple[str, str], tuple[str, str]]:
    """The words of each two figures that sound alike."""
    return {
        (one, other): (mine, yours)
        for (one, mine), (other, yours) in permutations(USUAL_DIGIT_WORDS.items(), 2)
        if nearest(sounds[mine], sounds[yours]) < LEAST_DISTANCE
    }


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
