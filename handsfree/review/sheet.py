"""A task as a person reviews it before work: every fact of the file, put in words. Pure.

New keys of the language need no change here to be seen: a key of a task, a step or an expectation
that this module does not know is shown by its name, under `further`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from handsfree.review.courses import called, deferral, leads, repeats, waits
from handsfree.review.heard import heard
from handsfree.review.lanes import Lane, lanes_of
from handsfree.review.plain import further, seen
from handsfree.review.worked import Earlier, Worked, worked
from handsfree.task.checks.advice import advise
from handsfree.task.checks.answers import Answers, answers
from handsfree.task.conditions import UNKNOWN, Condition, describe
from handsfree.task.equipment import Equipment
from handsfree.task.expectations import (
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Source
from handsfree.task.states import Counted
from handsfree.task.step import Step
from handsfree.visible import visible

# What each function below puts in words itself.
_TASK_KEYS = {"task", "title", "revision", "notice", "approved_data", "applicability", "warning"}
_TASK_KEYS |= {"equipment", "parts", "consumables", "variants", "states", "counted", "never"}
_TASK_KEYS |= {"steps", "todo", "hearing"}
_STEP_KEYS = {"id", "warning", "caution", "note", "instruction", "expect", "needs", "sets"}
_STEP_KEYS |= {"each", "applies", "wait", "then", "deferral", "counts_out", "counts_in", "uses"}
_STEP_KEYS |= {"read_back", "inspection", "critical", "because", "todo", "by"}


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
    hearing: tuple[str, ...]  # how surely the task must be heard; none where it does not say
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
        notices=seen(task.notice),
        warnings=seen(task.warning),
        equipment=seen(map(_equipment, task.equipment)),
        parts=seen(f"{each.name}, part number {each.number}" for each in task.parts),
        consumables=seen(task.consumables),
        variants=seen(f"{name}: {' or '.join(each)}" for name, each in task.variants.items()),
        counted=seen(map(_counted, task.counted.values())),
        rules=tuple(
            Rule(" and ".join(_in_words(rule.when, task)), visible(rule.because))
            for rule in task.never
        ),
        steps=tuple(rows),
        lanes=lanes,
        answered=seen(_answered(answers(task, source, warnings))),
        hearing=() if task.hearing is None else (task.hearing.in_words,),
        unknown=seen(_proved_by(lane) for lane in lanes if lane.start == UNKNOWN),
        further=further(task, _TASK_KEYS),
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
        warnings=seen(step.warning),
        cautions=seen(step.caution),
        notes=seen(step.note),
        instruction=visible(step.instruction),
        heard=("nothing: it is only said",)
        if step.expect is None
        else (*seen(heard(step.expect)), *_others(step)),
        limits=worked(step.expect.limits, step.expect, earlier)
        if isinstance(step.expect, ReadingExpected)
        else None,
        critical=step.critical,
        repeats=seen(filter(None, (repeat,))),
        applies=seen(_applies(step, task)),
        waits=seen(waits(task, step)),
        needs=(*_in_words(step.needs, task), *seen(_uses(step, task))),
        sets=_in_words(step.sets, task),
        counts=seen(_counts(step, task)),
        leads=seen(leads(task, number)),
        deferral=seen(deferral(task, number)),
        further=further(step, _STEP_KEYS),
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


def _in_words(states: Mapping[str, Condition], task: Task) -> tuple[str, ...]:
    return seen(_conditions(states, task))


def _conditions(states: Mapping[str, Condition], task: Task) -> Iterable[str]:
    return (f"{called(name, task)} {describe(value)}" for name, value in states.items())
