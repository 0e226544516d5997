"""From the text of a task file to a checked `Task`."""

from collections import Counter

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from handsfree.task.checks.references import check_references
from handsfree.task.expectations import EXPECTATION_KEYS
from handsfree.task.file_model import OWN_ERROR
from handsfree.task.model import Task
from handsfree.task.problems import Problem, TaskFileError, TaskNotProved
from handsfree.task.proof.explore import Watch
from handsfree.task.proof.prove import Proof, prove
from handsfree.task.repeat import unroll
from handsfree.task.source import Path, Source, read_source

_INSTEAD = {
    "missing": "Write it",
    "decimal_parsing": "Write a number such as 12.5",
    "finite_number": "Write a finite number",
    "greater_than": "Write a larger number",
    "greater_than_equal": "Write a larger number",
    "int_parsing": "Write a whole number",
    "too_long": "Keep one of them",
    "bool_parsing": "Write true or false",
    "string_type": "Write text here",
    "tuple_type": "Write a list, one '- ' line each",
    "dict_type": "Write 'key: value' lines",
    "model_type": "Write 'key: value' lines",
    "model_attributes_type": "Write 'key: value' lines",
    "string_too_short": "Write some text",
}


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
        raise TaskNotProved(name, proof.problems)
    return task, proof, source


def _read(text: str, name: str) -> tuple[Task, Source]:
    source = unroll(read_source(text, name))
    try:
        task = Task.model_validate(source.value)
    except ValidationError as error:
        raise TaskFileError(name, problems_of(error, source)) from error
    problems = check_references(task, source)
    if problems:
        raise TaskFileError(name, problems)
    return task, source


def problems_of(error: ValidationError, source: Source) -> list[Problem]:
    """What a model found wrong in a file, each at its place."""
    return [_problem(each, source) for each in _own(error.errors(include_url=False))]


def _own(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without the lists that are too short only because their items are wrong."""
    within = Counter(
        error["loc"][:length] for error in errors for length in range(len(error["loc"]) + 1)
    )
    return [error for error in errors if error["type"] != "too_short" or within[error["loc"]] == 1]


def _problem(error: ErrorDetails, source: Source) -> Problem:
    path: Path = error["loc"]
    context = error.get("ctx", {})
    if error["type"] == OWN_ERROR:
        at = path if context["key"] is None else (*path, context["key"])
        return source.problem(at, context["what"], context["instead"])
    if error["type"] == "union_tag_not_found":
        return source.problem(
            path,
            "the step expects nothing that can be heard",
            f"Write one of {', '.join(EXPECTATION_KEYS)}",
        )
    if error["type"] == "missing":
        return source.problem(path, f"key '{path[-1]}' is missing", "Write it")
    if error["type"] == "too_short":
        fewest = context["min_length"]
        return source.problem(path, f"'{path[-1]}' has fewer than {fewest}", "Add what is missing")
    if error["type"] == "string_pattern_mismatch":
        return source.problem(
            path, f"'{error['input']}' is not written as it must be", _form(context["pattern"])
        )
    what = error["msg"][0].lower() + error["msg"][1:]
    shown = f"'{error['input']}': " if isinstance(error["input"], str) else ""
    return source.problem(path, shown + what, _INSTEAD.get(error["type"], "Mend the value"))


def _form(pattern: str) -> str:
    if " " in pattern:
        return "Write lower case words with single spaces, as they are spoken, such as 'pin in'"
    if "A-Z" in pattern:
        return "Write capital letters, figures and hyphens, such as 'KD-2047'"
    return "Write lower case letters, figures and hyphens, such as 'bottle-pressure'"
