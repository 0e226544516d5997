"""Every way out of every step, gone through by the scripted crew with an ear that is never wrong.

The first walk of each variant is the usual one. Every other takes one way that none took before,
the first time that it comes to the step, and the usual ones from there.
"""

from collections import deque
from itertools import product

from handsfree.engine.advance import UnexpectedEvent
from handsfree.rehearse.answers import NothingToSay
from handsfree.rehearse.conversation import Conversation, Variants, hold
from handsfree.rehearse.crew import usual_outcome
from handsfree.task.course import ways
from handsfree.task.model import Task

MOST_WALKS = 120
"""A task of more ways is walked so far, and the rest is not rehearsed."""


def walks_of(task: Task, seed: str = "", confusable: tuple[str, ...] = ()) -> list[Conversation]:
    """The conversations, the usual ones first; those that do not end are left out."""
    todo: deque[tuple[Variants, dict[str, str]]] = deque((each, {}) for each in _variants(task))
    tried: set[tuple[str, str]] = set()
    found: list[Conversation] = []
    while todo and len(found) < MOST_WALKS:
        variants, script = todo.popleft()
        try:
            walk = hold(task, variants, script, seed, confusable=confusable)
        except (NothingToSay, UnexpectedEvent):
            continue  # no value leads there, such as a count below none
        if not walk.finished:
            continue
        found.append(walk)
        for at in dict.fromkeys(turn.step for turn in walk.turns):
            step = task.steps[task.index_of[at]]
            tried.add((at, script.get(at, usual_outcome(step))))
            for way in ways(step):
                if (at, way.outcome) not in tried:
                    tried.add((at, way.outcome))
                    todo.append((variants, {**script, at: way.outcome}))
    return found


def _variants(task: Task) -> list[Variants]:
    """Each combination once; the usual task has few."""
    names = tuple(task.variants)
    combinations = product(*task.variants.values())
    return [tuple(zip(names, each, strict=True)) for each in combinations][:MOST_WALKS]
