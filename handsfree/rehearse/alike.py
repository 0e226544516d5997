"""Phrases of a task that sound alike, by the CMU Pronouncing Dictionary."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from handsfree.engine.per_task import PerTask
from handsfree.rehearse.pronunciations import pronunciations
from handsfree.task.checks.confusable import Alike, Rehearsal, not_compared, words_of
from handsfree.task.checks.identities_alike import identities_alike
from handsfree.task.checks.opposites import one_phrase_for_opposites, opposites_by_prefix
from handsfree.task.checks.phrases import phrases_of
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.words.neighbours import Watch
from handsfree.words.number_words import USUAL_DIGIT_WORDS


@dataclass(frozen=True, slots=True)
class Warned:
    """One thing to know of how a task sounds."""

    name: str  # of the file
    problem: Problem
    fails: bool  # it must be mended, for no person and no recognizer can tell these apart

    @property
    def line(self) -> str:
        """`file:line:column: error or warning: what. what to write`."""
        kind = "error" if self.fails else "warning"
        return replace(self.problem, what=f"{kind}: {self.problem.what}").describe(self.name)


MOST_PAIRS = 10_000
"""Two phrases each that sound alike. In a task with more of them, nothing can be told apart."""

_MOST_TOLD = 100  # nobody mends more at a time; pairs that sound the same are all told


def _confusable_phrases(task: Task) -> tuple[str, ...]:
    found = list(islice(_rehearsal(task).alike(), MOST_PAIRS))
    # To ask about too many is safe, so where not all were found every phrase is one of them.
    beyond = phrases_of(task) if len(found) == MOST_PAIRS else ()
    return tuple(
        dict.fromkeys((*(each for pair in found for each in (pair.one, pair.other)), *beyond))
    )


confusable_phrases = PerTask(_confusable_phrases)
"""Every phrase of a task, or standard word, that sounds like another one."""


def warnings_about(
    task: Task, source: Source, watch: Watch = lambda _compared: None
) -> tuple[Warned, ...]:
    """What to know of the sound of `task`, which was read from `source`."""
    rehearsal = _rehearsal(task)
    found: list[Warned] = []

    def warn(path: Path, what: str, instead: str, fails: bool = False) -> None:
        found.append(Warned(source.name, source.problem(path, what, instead), fails))

    for path, phrase, state in one_phrase_for_opposites(task):
        what = f"'{phrase}' sets state '{state}' one way here and another way before"
        warn(path, what, _TWO_WAYS, fails=True)
    pairs = list(islice(rehearsal.alike(watch), MOST_PAIRS))
    by_prefix = {(each.one, each.other): each for each in opposites_by_prefix(task)}
    for opposite in by_prefix.values():
        if opposite.critical:
            warn(opposite.path, opposite.describe(), rehearsal.instead_of(opposite), fails=True)
    told = [each for each in pairs if not each.same_sound][:_MOST_TOLD]
    for each in pairs:
        refused = (before := by_prefix.get((each.one, each.other))) and before.critical
        if not refused and (each.same_sound or each in told):
            instead = rehearsal.instead_of(each)
            warn(each.path, each.describe(), instead, fails=each.same_sound)
    heard_alike = {(each.one, each.other) for each in pairs}
    for names, opposite in by_prefix.items():
        if not opposite.critical and names not in heard_alike:
            warn(opposite.path, opposite.describe(), rehearsal.instead_of(opposite))
    for path, one, other, words in identities_alike(task, pronunciations(_FIGURES)):
        what = f"'{one}' and '{other}' are one sound apart: '{words[0]}' and '{words[1]}'"
        warn(path, what, _ONE_SOUND)
    found.extend(_too_many(source, pairs, len(told)))
    for phrase in not_compared(task, pronunciations(words_of(task))):
        what = f"'{phrase}' has a word that neither dictionary nor voice can say"
        warn(("steps",), what, "Compare its sound with the others yourself")
    return tuple(found)


def _rehearsal(task: Task) -> Rehearsal:
    return Rehearsal(task, pronunciations(words_of(task)))


def _too_many(source: Source, pairs: list[Alike], told: int) -> Iterator[Warned]:
    """That more sound alike than are told, or than were looked for."""
    more = sum(not each.same_sound for each in pairs) - told
    if len(pairs) == MOST_PAIRS:
        what = f"{MOST_PAIRS:,} pairs of phrases sound alike, and the rest was not compared"
        yield Warned(source.name, source.problem(("steps",), what, _TOO_MANY), True)
    elif more:
        what = f"{more:,} more pairs of phrases sound alike"
        yield Warned(source.name, source.problem(("steps",), what, _TOO_MANY), False)


_FIGURES = frozenset(USUAL_DIGIT_WORDS.values())
_ONE_SOUND = "Have it read back by a second person, or answer with 'because'"
_TOO_MANY = "Name the object in each phrase, in words that differ, or split the task"
_TWO_WAYS = "Write a phrase for each, or one that is heard late confirms the opposite"
