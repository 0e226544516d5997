"""Phrases of a task that sound alike, by the CMU Pronouncing Dictionary."""

from dataclasses import dataclass

from handsfree.rehearse.pronunciations import pronunciations
from handsfree.task.checks.confusable import alike, not_compared, one_phrase_for_opposites, words_of
from handsfree.task.model import Task
from handsfree.task.repeat import unroll
from handsfree.task.source import read_source


@dataclass(frozen=True, slots=True)
class Warned:
    """One line about a task file."""

    line: str  # file:line:column, what, and what to write
    fails: bool  # no person and no recognizer can tell these apart


def confusable_phrases(task: Task) -> tuple[str, ...]:
    """Every phrase of `task`, or standard word, that sounds like another one."""
    found = alike(task, pronunciations(words_of(task)))
    return tuple(dict.fromkeys(phrase for each in found for phrase in (each.one, each.other)))


def warnings_about(task: Task, text: str, name: str) -> tuple[Warned, ...]:
    """What to know of the sound of `task`, whose file is `text`; `name` is how it is called."""
    source = unroll(read_source(text, name))
    sounds = pronunciations(words_of(task))
    found: list[Warned] = []
    for path, phrase, state in one_phrase_for_opposites(task):
        what = f"error: '{phrase}' sets state '{state}' one way here and another way before"
        found.append(Warned(source.problem(path, what, _TWO_WAYS).describe(name), True))
    for each in alike(task, sounds):
        kind = "error" if each.same_sound else "warning"
        problem = source.problem(each.path, f"{kind}: {each.describe()}", each.instead)
        found.append(Warned(problem.describe(name), each.same_sound))
    found.extend(
        Warned(
            f"{name}: warning: '{phrase}' has a word that the dictionary lacks. "
            "Compare its sound with the others yourself",
            False,
        )
        for phrase in not_compared(task, sounds)
    )
    return tuple(found)


_TWO_WAYS = "Write a phrase for each, or one that is heard late confirms the opposite"
