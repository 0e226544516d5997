"""Phrases of a task that sound alike, by the CMU Pronouncing Dictionary."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from handsfree.rehearse.pronunciations import pronunciations
from handsfree.task.checks.confusable import (
    Alike,
    Rehearsal,
    not_compared,
    one_phrase_for_opposites,
    phrases_of,
    words_of,
)
from handsfree.task.model import Task
from handsfree.task.source import Source
from handsfree.words.neighbours import Watch


@dataclass(frozen=True, slots=True)
class Warned:
    """One line about a task file."""

    line: str  # file:line:column, what, and what to write
    fails: bool  # no person and no recognizer can tell these apart


MOST_PAIRS = 10_000
"""Two phrases each that sound alike. In a task with more of them, nothing can be told apart."""

_MOST_TOLD = 100  # nobody mends more at a time; pairs that sound the same are all told


def confusable_phrases(task: Task) -> tuple[str, ...]:
    """Every phrase of `task`, or standard word, that sounds like another one."""
    found = list(islice(_rehearsal(task).alike(), MOST_PAIRS))
    # To ask about too many is safe, so where not all were found every phrase is one of them.
    beyond = phrases_of(task) if len(found) == MOST_PAIRS else ()
    return tuple(
        dict.fromkeys((*(each for pair in found for each in (pair.one, pair.other)), *beyond))
    )


def warnings_about(
    task: Task, source: Source, watch: Watch = lambda _compared: None
) -> tuple[Warned, ...]:
    """What to know of the sound of `task`, which was read from `source`."""
    name, rehearsal = source.name, _rehearsal(task)
    found: list[Warned] = []
    for path, phrase, state in one_phrase_for_opposites(task):
        what = f"error: '{phrase}' sets state '{state}' one way here and another way before"
        found.append(Warned(source.problem(path, what, _TWO_WAYS).describe(name), True))
    pairs = list(islice(rehearsal.alike(watch), MOST_PAIRS))
    told = [each for each in pairs if not each.same_sound][:_MOST_TOLD]
    for each in pairs:
        if each.same_sound or each in told:
            kind = "error" if each.same_sound else "warning"
            instead = rehearsal.instead_of(each)
            problem = source.problem(each.path, f"{kind}: {each.describe()}", instead)
            found.append(Warned(problem.describe(name), each.same_sound))
    found.extend(_too_many(source, pairs, len(told)))
    found.extend(
        Warned(
            f"{name}: warning: '{phrase}' has a word that the dictionary lacks. "
            "Compare its sound with the others yourself",
            False,
        )
        for phrase in not_compared(task, pronunciations(words_of(task)))
    )
    return tuple(found)


def _rehearsal(task: Task) -> Rehearsal:
    return Rehearsal(task, pronunciations(words_of(task)))


def _too_many(source: Source, pairs: list[Alike], told: int) -> Iterator[Warned]:
    """That more sound alike than are told, or than were looked for."""
    more = sum(not each.same_sound for each in pairs) - told
    if len(pairs) == MOST_PAIRS:
        what = f"error: {MOST_PAIRS:,} pairs of phrases sound alike, and the rest was not compared"
        yield Warned(source.problem(("steps",), what, _TOO_MANY).describe(source.name), True)
    elif more:
        what = f"warning: {more:,} more pairs of phrases sound alike"
        yield Warned(source.problem(("steps",), what, _TOO_MANY).describe(source.name), False)


_TOO_MANY = "Name the object in each phrase, in words that differ, or split the task"
_TWO_WAYS = "Write a phrase for each, or one that is heard late confirms the opposite"
