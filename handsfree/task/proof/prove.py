"""The proof of a task: every way through it is looked at, and the shortest way to a mistake told.

Every way means every outcome of every step, in any order that the task allows: readings outside
their limits, choices, answers that come too late, deferrals, rework. Repetitions, interruptions and
going back lead to positions that are among these (see `course`).
"""

from dataclasses import dataclass
from itertools import islice
from math import prod

from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.proof.counterexample import tell
from handsfree.task.proof.explore import (
    MOST_POSITIONS,
    Cone,
    TooManyPositions,
    Watch,
    steering_states,
    variants_that_matter,
    walk,
)
from handsfree.task.proof.questions import Question, questions_about
from handsfree.task.source import Source

# Walks are joined as long as what they carry has at most so many combinations of values: each walk
# has a cost of its own, however little it carries.
_JOINED_COMBINATIONS = 64
# With more combinations of variants than this, it is they that make the walks long.
_MANY_COMBINATIONS = 1_000
_NAMED = 10  # of them in a message
_TRIED = 32  # to join with; to try all of them would grow with the square of the questions


@dataclass(frozen=True, slots=True)
class Proof:
    """What came of looking at every way."""

    problems: tuple[Problem, ...]  # none: the task is proved
    walks: int
    positions: int  # found by all walks together
    moves: int  # from one of them to another, likewise


def prove(task: Task, source: Source, watch: Watch, most: int = MOST_POSITIONS) -> Proof:
    """Look at every way through `task`, which must be free of unknown names.

    Gives up after `most` positions, with a problem that says so.
    """
    problems: list[Problem] = []
    walks = positions = moves = 0
    for cone, questions in _joined(task, questions_about(task)):
        try:
            found = walk(task, cone, watch, most - positions)
        except TooManyPositions:
            problems.append(_too_many(task, cone, source, most))
            break
        walks += 1
        positions += len(found.came_by)
        moves += len(found.legs)
        for question in questions:
            for mistake in question.mistakes(task, found):
                way = tell(task, mistake.way, mistake.about) if mistake.way else ()
                problem = source.problem(mistake.path, mistake.what, mistake.instead)
                problems.append(problem.by(way))
    return Proof(tuple(problems), walks, positions, moves)


def _joined(task: Task, questions: list[Question]) -> list[tuple[Cone, list[Question]]]:
    """Few cones with the questions that each answers, none with many combinations of values."""

    def combinations(cone: Cone) -> int:
        return prod(
            (
                *(len(task.states[name].values) for name in cone.states),
                *(task.counted[name].total + 1 for name in cone.counts),
                *(2 for _ in cone.answered),
            )
        )

    steering = Cone(states=steering_states(task))
    cones = [(question.about | steering, question) for question in questions]
    joined: list[tuple[Cone, list[Question]]] = []
    for cone, question in sorted(cones, key=lambda each: combinations(each[0]), reverse=True):
        for at in range(max(len(joined) - _TRIED, 0), len(joined)):
            other, answered = joined[at]
            if cone <= other or combinations(cone | other) <= _JOINED_COMBINATIONS:
                joined[at] = (cone | other, [*answered, question])
                break
        else:
            joined.append((cone, [question]))
    return joined


def _too_many(task: Task, cone: Cone, source: Source, most: int) -> Problem:
    """That the task is too large to be looked at, and what makes it so."""
    what = f"the task cannot be proved: there are more than {most:,} situations to look at"
    variants = variants_that_matter(task)
    combinations = prod(map(len, variants.values()))
    if combinations > _MANY_COMBINATIONS:
        told = ", ".join(
            f"{name} ({len(values)})" for name, values in islice(variants.items(), _NAMED)
        )
        told += f" and {len(variants) - _NAMED} more" if len(variants) > _NAMED else ""
        return source.problem(
            ("variants",),
            f"{what}; 'applies' tells {combinations:,} combinations of variants apart: {told}",
            "Name fewer variants in 'applies', or write a task for each value of one of them",
        )
    steering = steering_states(task)
    names = sorted(cone.states | cone.counts)
    tied = ", ".join(names[:_NAMED]) or "none"
    tied += f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    by_applies = f" ('applies' names {', '.join(sorted(steering))})" if steering else ""
    return source.problem(
        ("steps",),
        f"{what}, the last ones of these states together: {tied}{by_applies}",
        "Name fewer states in 'applies' and in one never rule, or split the task",
    )
