"""The phrases of a task, each where it stands in the file."""

from collections.abc import Iterator

from handsfree.task.expectations import ChoiceExpected, ConfirmExpected
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.task.step import Step


def phrases_of(task: Task) -> tuple[str, ...]:
    """Every phrase that confirms a step of `task` or is chosen in one, once."""
    return tuple(dict.fromkeys(phrase for phrase, _, _ in phrases_in_place(task)))


def phrases_in_place(task: Task) -> Iterator[tuple[str, Step, Path]]:
    """Each phrase with its step and its path in the file, as often as it stands there."""
    for at, step in enumerate(task.steps):
        path: Path = ("steps", at, "expect")
        match step.expect:
            case ConfirmExpected(confirm=phrase):
                yield phrase, step, path
            case ChoiceExpected(choose=phrases):
                for phrase in phrases:
                    yield phrase, step, path
