"""Phrases for opposite states that one mishearing, or a late one, would take for each other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from handsfree.task.checks.phrases import phrases_in_place
from handsfree.task.expectations import ConfirmExpected
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.task.step import Step


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
    for phrase, step, path in phrases_in_place(task):
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
