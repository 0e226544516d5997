"""What the author of a task answers, in its file, to what `check` warns of.

One text answers warnings of one kind only. Where a step is warned of at several keys, each has its
own answer, so that a reason for one does not silence another that nobody thought of.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.task.step import ANY_KEY


class Answers(NamedTuple):
    """The warnings of a task, parted by whether its author answers them."""

    answered: tuple[tuple[Problem, str], ...]  # each with its answer
    left: tuple[Problem, ...]  # not answered, and each answer that answers none; as in the file


def answers(task: Task, source: Source, warnings: Iterable[Problem]) -> Answers:
    """Part `warnings` by whether `because` at their step or state answers them."""
    answered: list[tuple[Problem, str]] = []
    left: list[Problem] = []
    at: dict[Path, list[Problem]] = {}
    for each in warnings:
        at.setdefault(each.path[:2], []).append(each)
    for path, found in at.items():
        texts = _texts(task, path)
        keys = dict.fromkeys(key_of(each.path) for each in found)
        one_for_all = ANY_KEY in texts and len(keys) == 1
        for each in found:
            text = texts.get(ANY_KEY) if one_for_all else texts.get(key_of(each.path))
            if text is None:
                left.append(each)
            else:
                answered.append((each, text))
        if ANY_KEY in texts and not one_for_all:
            left.append(_answers_several(source, path, tuple(keys)))
    left += _answering_nothing(task, source, at)
    left.sort(key=lambda each: (each.line, each.column))
    return Answers(tuple(answered), tuple(left))


def key_of(path: Path) -> str:
    """The key of the file that a warning stands at: what its answer is named by."""
    if path[:1] == ("states",):
        return ANY_KEY  # a state is a line or two, and has one answer
    return next((each for each in reversed(path[2:]) if isinstance(each, str)), "instruction")


def _texts(task: Task, path: Path) -> dict[str, str]:
    match path:
        case ("steps", int(at)):
            return task.steps[at].because
        case ("states", str(name)):
            text = task.states[name].because
            return {} if text is None else {ANY_KEY: text}
    return {}


def _answers_several(source: Source, path: Path, keys: Sequence[str]) -> Problem:
    named = ", ".join(f"{key}: TEXT" for key in keys)
    return source.problem(
        (*path, "because"),
        f"one 'because' cannot answer {len(keys)} different warnings",
        f"Answer each at its key: 'because: {{{named}}}'",
    )


def _answering_nothing(
    task: Task, source: Source, warned: dict[Path, list[Problem]]
) -> tuple[Problem, ...]:
    """Each answer beside which nothing is warned of: what it answered is mended by now.

    The copies of a repeated step have one place in the file, and one of them is warned of for all.
    """
    places: list[Path] = [
        *(("steps", at) for at in range(len(task.steps))),
        *(("states", name) for name in task.states),
    ]
    keys_at: dict[tuple[int, int], set[str]] = {}
    for path, warnings in warned.items():
        keys_at.setdefault(source.place(path), set()).update(key_of(each.path) for each in warnings)
    found: list[Problem] = []
    for path in places:
        keys = keys_at.get(source.place(path), set())
        for key in _texts(task, path):
            if key == ANY_KEY and not keys:
                what = "'because' answers no warning here"
                found.append(source.problem((*path, "because"), what, "Delete it"))
            elif key != ANY_KEY and key not in keys:
                what = f"'because' answers no warning at '{key}'"
                found.append(source.problem((*path, "because", key), what, "Delete it"))
    return tuple(dict.fromkeys(found))
