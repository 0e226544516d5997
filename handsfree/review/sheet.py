"""A task as a person reviews it before work: every fact of the file, put in words. Pure.

New keys of the language need no change here to be seen: a key of a task, a step or an expectation
that this module does not know is shown by its name, under `further`.
"""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from functools import singledispatch

from handsfree.review.courses import called, deferral, leads, repeats, waits
from handsfree.review.lanes import Lane, lanes_of
from handsfree.review.plain import by_keys, plain
from handsfree.review.worked import Earlier, Worked, with_unit, worked
from handsfree.task.checks.advice import advise
from handsfree.task.checks.answers import Answers, answers
from handsfree.task.conditions import UNKNOWN, Condition, describe
from handsfree.task.equipment import Equipment
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.file_model import FileModel
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Source
from handsfree.task.states import Counted
from handsfree.task.step import Step
from handsfree.visible import visible

# What each function below puts in words itself.
_TASK_KEYS = {"task", "title", "revision", "notice", "approved_data", "applicability", "warning"}
_TASK_KEYS |= {"equipment", "parts", "consumables", "variants", "states", "counted", "never"}
_TASK_KEYS |= {"steps", "todo"}
_STEP_KEYS = {"id", "warning", "caution", "note", "instruction", "expect", "needs", "sets"}
_STEP_KEYS |= {"each", "applies", "wait", "then", "deferral", "counts_out", "counts_in", "uses"}
_STEP_KEYS |= {"read_back", "inspection", "critical", "because", "todo", "by"}
_READING_KEYS = {"reading", "called", "unit", "resolution", "limits", "digit_pairs", "fractions"}
_READING_KEYS |= {"doubles", "words_twice", "other_scales", "agree_within"}
_IDENTITY_KEYS = {"identity", "called", "accept", "doubles", "tool", "again"}
_DATE_KEYS = {"date", "called", "tool"}


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
    critical: bool  # a wrong answer can kill
    repeats: tuple[str, ...]  # for which of several things it is done
    applies: tuple[str, ...]  # when it is done, and not passed over
    waits: tuple[str, ...]
    needs: tuple[str, ...]
    sets: tuple[str, ...]
    counts: tuple[str, ...]
    leads: tuple[str, ...]  # where each answer leads, unless all lead to the next step
    deferral: tuple[str, ...]
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
    variants: tuple[str, ...]  # said at the start of a run
    counted: tuple[str, ...]
    rules: tuple[Rule, ...]
    steps: tuple[StepRow, ...]
    lanes: tuple[Lane, ...]
    answered: tuple[str, ...]  # what `check` warns of, each with the author's answer to it
    unknown: tuple[str, ...]  # states that are not known at the start, and what proves them
    further: tuple[str, ...]


def sheet_of(task: Task, sha256: str, warned: Iterable[Problem] = ()) -> Sheet:
    """Put `task` in words; `sha256` names the very file that it was read from.

    `warned` is what is warned of besides `advise`, such as phrases that sound alike.
    """
    source = Source(task.task)
    warnings = (*advise(task, source), *warned)
    earlier: dict[str, Earlier] = {}
    repeated = repeats(task)
    rows: list[StepRow] = []
    for number, step in enumerate(task.steps, 1):
        rows.append(_row(number, task, earlier, repeated.get(step.id, "")))
        if isinstance(step.expect, ReadingExpected):
            earlier[step.id] = Earlier(number, step.expect)
    lanes = lanes_of(task)
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
        equipment=_seen(map(_equipment, task.equipment)),
        parts=_seen(f"{each.name}, part number {each.number}" for each in task.parts),
        consumables=_seen(task.consumables),
        variants=_seen(f"{name}: {' or '.join(each)}" for name, each in task.variants.items()),
        counted=_seen(map(_counted, task.counted.values())),
        rules=tuple(
            Rule(" and ".join(_in_words(rule.when, task)), visible(rule.because))
            for rule in task.never
        ),
        steps=tuple(rows),
        lanes=lanes,
        answered=_seen(_answered(answers(task, source, warnings))),
        unknown=_seen(_proved_by(lane) for lane in lanes if lane.start == UNKNOWN),
        further=_further(task, _TASK_KEYS),
    )


def _answered(found: Answers) -> Iterable[str]:
    return dict.fromkeys(
        f"{each.what[:1].upper()}{each.what[1:]}. Answer: {answer}"
        for each, answer in found.answered
    )


def _others(step: Step) -> tuple[str, ...]:
    """From whom it is heard, where it is not the technician alone."""
    doer = (f"from the {step.by.value}",) if step.by is not None else ()
    second = ("the same from a second person, before it is said aloud",)
    inspector = ("inspected, or rejected, from an inspector",)
    return (*doer, *second * step.read_back, *inspector * step.inspection)


def _row(number: int, task: Task, earlier: Mapping[str, Earlier], repeat: str) -> StepRow:
    step = task.steps[number - 1]
    return StepRow(
        number=number,
        id=step.id,
        warnings=_seen(step.warning),
        cautions=_seen(step.caution),
        notes=_seen(step.note),
        instruction=visible(step.instruction),
        heard=("nothing: it is only said",)
        if step.expect is None
        else (*_seen(heard(step.expect)), *_others(step)),
        limits=worked(step.expect.limits, step.expect, earlier)
        if isinstance(step.expect, ReadingExpected)
        else None,
        critical=step.critical,
        repeats=_seen(filter(None, (repeat,))),
        applies=_seen(_applies(step, task)),
        waits=_seen(waits(task, step)),
        needs=(*_in_words(step.needs, task), *_seen(_uses(step, task))),
        sets=_in_words(step.sets, task),
        counts=_seen(_counts(step, task)),
        leads=_seen(leads(task, number)),
        deferral=_seen(deferral(task, number)),
        further=_further(step, _STEP_KEYS),
    )


def _equipment(each: Equipment) -> str:
    name = each.name if each.id is None else f"{each.name}, called {each.id} in the steps"
    if each.calibration_due is not None:
        return f"{name} (its calibration is valid up to and including {each.calibration_due})"
    return name + (" (check its calibration date)" if each.calibrated else "")


def _counted(each: Counted) -> str:
    tools = f"; among them {', '.join(each.tools)}" if each.tools else ""
    return (
        f"{each.called}: {each.total} in all; {each.start} out of their place at the start, "
        f"{each.end} at the end{tools}"
    )


def _proved_by(lane: Lane) -> str:
    setting = [number for number, values in enumerate(lane.set_to, 1) if values]
    proof = f"step {setting[0]} is the first that sets it" if setting else "no step sets it"
    return f"{lane.called}: {proof}"


def _applies(step: Step, task: Task) -> Iterable[str]:
    if step.applies:
        where = (f"{called(name, task)} is {describe(c)}" for name, c in step.applies.items())
        yield f"only where {' and '.join(where)}; else it is passed over"


def _uses(step: Step, task: Task) -> Iterable[str]:
    calibrated = {each.id for each in task.equipment if each.calibrated}
    for name in step.uses:
        yield f"{name} in calibration" if name in calibrated else name


def _counts(step: Step, task: Task) -> Iterable[str]:
    for name, number in step.counts_out.items():
        yield f"{called(name, task)}: {number} out of their place"
    for name, number in step.counts_in.items():
        yield f"{called(name, task)}: {number} back in their place"


@singledispatch
def heard(expected: FileModel) -> tuple[str, ...]:
    """What is expected to be heard, a line for each fact. One more kind: register it here."""
    return (by_keys(expected),)


@heard.register
def _(expected: ConfirmExpected) -> tuple[str, ...]:
    return (f'"{expected.confirm}"',)


@heard.register
def _(expected: ReadingExpected) -> tuple[str, ...]:
    scales = (
        f"or in steps of {scale.resolution:f} {scale.unit}; the unit must be said with each value"
        for scale in expected.other_scales
    )
    return (
        f"{expected.reading}, in steps of {with_unit(f'{expected.resolution:f}', expected.unit)}",
        *scales,
        *_also_called(expected.reading, expected.names),
        *(("said in pairs of digits too",) if expected.digit_pairs else ()),
        *(("said in fractions too",) if expected.fractions else ()),
        *_doubles(expected.doubles),
        *(("said twice in one utterance, and both must agree",) if expected.words_twice else ()),
        *_agree_within(expected),
        *_further(expected, _READING_KEYS),
    )


def _agree_within(expected: ReadingExpected) -> tuple[str, ...]:
    if expected.agree_within is None:
        return ()
    slack = with_unit(f"{expected.agree_within:f}", expected.unit)
    return (f"two people agree within {slack}; the value nearer to a limit is judged",)


@heard.register
def _(expected: IdentityExpected) -> tuple[str, ...]:
    right = f"only {' or '.join(expected.accept)}" if expected.accept else "any, for the record"
    if expected.again:
        right = "only the number that was read before"
    return (
        f"{expected.identity}: {right}",
        *_also_called(expected.identity, expected.names),
        *_doubles(expected.doubles),
        *_of_tool(expected.tool),
        *_further(expected, _IDENTITY_KEYS),
    )


@heard.register
def _(expected: DateExpected) -> tuple[str, ...]:
    return (
        f"{expected.date}: a last day, which is today or later",
        *_also_called(expected.date, expected.names),
        *_of_tool(expected.tool),
        *_further(expected, _DATE_KEYS),
    )


@heard.register
def _(expected: ChoiceExpected) -> tuple[str, ...]:
    return (
        "one of: " + ", ".join(f'"{each}"' for each in expected.choose),
        f'goes on only with "{expected.required}"'
        if expected.required
        else "goes on with each of them",
        *_further(expected, {"choose", "required"}),
    )


def _also_called(first: str, names: tuple[str, ...]) -> tuple[str, ...]:
    also = [name for name in names if name != first]
    return (f"also called {', '.join(also)}",) if also else ()


def _of_tool(tool: str | None) -> tuple[str, ...]:
    return () if tool is None else (f"of the tool {tool}",)


def _doubles(can_be_said: bool) -> tuple[str, ...]:
    return ('"double four" means 44',) if can_be_said else ()


def _in_words(states: Mapping[str, Condition], task: Task) -> tuple[str, ...]:
    return _seen(_conditions(states, task))


def _conditions(states: Mapping[str, Condition], task: Task) -> Iterable[str]:
    return (f"{called(name, task)} {describe(value)}" for name, value in states.items())


def _further(part: FileModel, known: Set[str]) -> tuple[str, ...]:
    given = part.model_fields_set - known
    # In the order of the model, so that a sheet never changes from one run to the next.
    names = [name for name in type(part).model_fields if name in given]
    return _seen(f"{name}: {plain(getattr(part, name))}" for name in names)


def _seen(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(map(visible, texts))
