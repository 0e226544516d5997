"""A task as a person reviews it before work: every fact of the file, put in words. Pure.

New keys of the language need no change here to be seen: a key of a task, a step or an expectation
that this module does not know is shown by its name, under `further`.
"""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from functools import singledispatch

from handsfree.review.lanes import Lane, lanes_of
from handsfree.review.plain import by_keys, plain
from handsfree.review.worked import Earlier, Worked, with_unit, worked
from handsfree.task.file_model import FileModel
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    IdentityExpected,
    ReadingExpected,
    Step,
    Task,
)
from handsfree.visible import visible

# What each function below puts in words itself.
_TASK_KEYS = {"task", "title", "revision", "notice", "approved_data", "applicability", "warning"}
_TASK_KEYS |= {"equipment", "parts", "consumables", "states", "never", "steps"}
_STEP_KEYS = {"id", "warning", "caution", "note", "instruction", "expect", "needs", "sets"}
_READING_KEYS = {"reading", "called", "unit", "resolution", "limits", "digit_pairs"}


@dataclass(frozen=True, slots=True)
class Rule:
    """A never rule in words."""

    when: str
    because: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step in words, in the order in which it is spoken and answered."""

    number: int  # from 1, as it is spoken
    id: str
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    instruction: str
    heard: tuple[str, ...]  # what the step expects to hear
    limits: Worked | None
    needs: tuple[str, ...]
    sets: tuple[str, ...]
    further: tuple[str, ...]  # "key: value" for keys that this module does not know


@dataclass(frozen=True, slots=True)
class Sheet:
    """A task in words. Every text is safe to show on one line."""

    task: str
    title: str
    revision: str
    sha256: str  # of the task file
    approved_data: str
    approved_revision: str
    aircraft: str
    component: str
    notices: tuple[str, ...]
    warnings: tuple[str, ...]
    equipment: tuple[str, ...]
    parts: tuple[str, ...]
    consumables: tuple[str, ...]
    rules: tuple[Rule, ...]
    steps: tuple[StepRow, ...]
    lanes: tuple[Lane, ...]
    further: tuple[str, ...]


def sheet_of(task: Task, sha256: str) -> Sheet:
    """Put `task` in words; `sha256` names the very file that it was read from."""
    earlier: dict[str, Earlier] = {}
    rows: list[StepRow] = []
    for number, step in enumerate(task.steps, 1):
        rows.append(_row(number, step, task, earlier))
        if isinstance(step.expect, ReadingExpected):
            earlier[step.id] = Earlier(number, step.expect)
    return Sheet(
        task=task.task,
        title=visible(task.title),
        revision=visible(task.revision),
        sha256=sha256,
        approved_data=visible(task.approved_data.reference),
        approved_revision=visible(task.approved_data.revision),
        aircraft=visible(task.applicability.aircraft),
        component=visible(task.applicability.component),
        notices=_seen(task.notice),
        warnings=_seen(task.warning),
        equipment=_seen(
            each.name + (" (check its calibration date)" if each.calibrated else "")
            for each in task.equipment
        ),
        parts=_seen(f"{each.name}, part number {each.number}" for each in task.parts),
        consumables=_seen(task.consumables),
        rules=tuple(
            Rule(" and ".join(_in_words(rule.when, task)), visible(rule.because))
            for rule in task.never
        ),
        steps=tuple(rows),
        lanes=lanes_of(task),
        further=_further(task, _TASK_KEYS),
    )


def _row(number: int, step: Step, task: Task, earlier: Mapping[str, Earlier]) -> StepRow:
    return StepRow(
        number=number,
        id=step.id,
        warnings=_seen(step.warning),
        cautions=_seen(step.caution),
        notes=_seen(step.note),
        instruction=visible(step.instruction),
        heard=("nothing: it is only said",) if step.expect is None else _seen(heard(step.expect)),
        limits=worked(step.expect.limits, step.expect, earlier)
        if isinstance(step.expect, ReadingExpected)
        else None,
        needs=_in_words(step.needs, task),
        sets=_in_words(step.sets, task),
        further=_further(step, _STEP_KEYS),
    )


@singledispatch
def heard(expected: FileModel) -> tuple[str, ...]:
    """What is expected to be heard, a line for each fact. One more kind: register it here."""
    return (by_keys(expected),)


@heard.register
def _(expected: ConfirmExpected) -> tuple[str, ...]:
    return (f'"{expected.confirm}"',)


@heard.register
def _(expected: ReadingExpected) -> tuple[str, ...]:
    also = [name for name in expected.names if name != expected.reading]
    return (
        f"{expected.reading}, in steps of {with_unit(f'{expected.resolution:f}', expected.unit)}",
        *((f"also called {', '.join(also)}",) if also else ()),
        *(("said in pairs of digits too",) if expected.digit_pairs else ()),
        *_further(expected, _READING_KEYS),
    )


@heard.register
def _(expected: IdentityExpected) -> tuple[str, ...]:
    right = f"only {' or '.join(expected.accept)}" if expected.accept else "any, for the record"
    return (f"{expected.identity}: {right}", *_further(expected, {"identity", "accept"}))


@heard.register
def _(expected: ChoiceExpected) -> tuple[str, ...]:
    return (
        "one of: " + ", ".join(f'"{each}"' for each in expected.choose),
        *((f'goes on only with "{expected.required}"',) if expected.required else ()),
        *_further(expected, {"choose", "required"}),
    )


def _in_words(states: Mapping[str, object], task: Task) -> tuple[str, ...]:
    return _seen(f"{_called(name, task)} {_either(value)}" for name, value in states.items())


def _either(value: object) -> str:
    return " or ".join(map(plain, value)) if isinstance(value, list | tuple) else plain(value)


def _called(name: str, task: Task) -> str:
    return task.states[name].called if name in task.states else name


def _further(part: FileModel, known: Set[str]) -> tuple[str, ...]:
    given = part.model_fields_set - known
    # In the order of the model, so that a sheet never changes from one run to the next.
    names = [name for name in type(part).model_fields if name in given]
    return _seen(f"{name}: {plain(getattr(part, name))}" for name in names)


def _seen(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(map(visible, texts))
