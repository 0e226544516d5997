"""From the text of a task file to a checked `Task`."""

from pydantic import ValidationError

from handsfree.task.checks.references import check_references
from handsfree.task.invalid import problems_of
from handsfree.task.model import Task
from handsfree.task.problems import TaskFileError, TaskNotProved, once
from handsfree.task.proof.explore import Watch
from handsfree.task.proof.prove import Proof, prove
from handsfree.task.repeat import unroll
from handsfree.task.source import Source, read_source


def read_task(text: str, name: str) -> Task:
    """Parse and prove the text of a task file; `name` is how errors call it.

    Raises TaskFileError with every problem that one reading can find, and TaskNotProved with the
    ways through the task that must not be. Every way through a `Task` that comes back keeps every
    never rule, reaches the end, and leaves each state and count as it must be.
    """
    return read_and_prove(text, name)[0]


def read_and_prove(
    text: str, name: str, watch: Watch = lambda _positions: None
) -> tuple[Task, Proof, Source]:
    """Read a task as `read_task` does, with its proof and its source; `watch` hears of progress."""
    task, source = _read(text, name)
    proof = prove(task, source, watch)
    if proof.problems:
        raise TaskNotProved(name, once(proof.problems, [step.id for step in task.steps]))
    return task, proof, source


def _read(text: str, name: str) -> tuple[Task, Source]:
    source = unroll(read_source(text, name))
    try:
        task = Task.model_validate(source.value)
    except ValidationError as error:
        raise TaskFileError(name, problems_of(error, source)) from error
    problems = once(check_references(task, source), [step.id for step in task.steps])
    if problems:
        raise TaskFileError(name, problems)
    return task, source
