"""Checks across a task file: every name that is used exists, and the steps fit one after another.

Steps follow one another without branches, so one walk along them is a complete exploration.
"""

from collections.abc import Iterator, Mapping

from handsfree.task.limit_references import check_limits
from handsfree.task.limits import FixedLimits, TableLimits
from handsfree.task.model import ChoiceExpected, ConfirmExpected, ReadingExpected, Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.words.meanings import NotUnderstood
from handsfree.words.phrases import BUILT_IN


def check_references(task: Task, source: Source) -> list[Problem]:
    """Every problem that shows only when the parts of the file are held against each other."""
    problems = [
        *_repeated_steps(task, source),
        *_unknown_states(task, source),
        *_phrases_that_are_numbers(task, source),
        *_tables(task, source),
        *check_limits(task, source),
    ]
    # Without sound names a walk would only repeat the same complaints.
    return problems or list(_walk(task, source))


def _repeated_steps(task: Task, source: Source) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for at, step in enumerate(task.steps):
        if step.id in first:
            line = source.place(("steps", first[step.id]))[0]
            yield source.problem(
                ("steps", at, "id"),
                f"step id '{step.id}' is used twice, first in line {line}",
                "Give each step its own id",
            )
        first.setdefault(step.id, at)


def _unknown_states(task: Task, source: Source) -> Iterator[Problem]:
    for path, states in _state_uses(task):
        for name, value in states.items():
            if name not in task.states:
                known = ", ".join(task.states) or "none; add it under 'states'"
                yield source.problem((*path, name), f"unknown state '{name}'", f"Known: {known}")
            elif value not in task.states[name].values:
                yield source.problem(
                    (*path, name),
                    f"'{value}' is not a value of state '{name}'",
                    f"Write {' or '.join(task.states[name].values)}",
                )


def _state_uses(task: Task) -> Iterator[tuple[Path, Mapping[str, str]]]:
    for at, rule in enumerate(task.never):
        yield ("never", at, "when"), rule.when
    for at, step in enumerate(task.steps):
        yield ("steps", at, "needs"), step.needs
        yield ("steps", at, "sets"), step.sets


def _phrases_that_are_numbers(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        said: tuple[str, ...] = ()
        if isinstance(step.expect, ConfirmExpected):
            said = (step.expect.confirm,)
        elif isinstance(step.expect, ChoiceExpected):
            said = step.expect.choose
        for phrase in said:
            if not isinstance(BUILT_IN["number"].parse(phrase.split()), NotUnderstood):
                yield source.problem(
                    ("steps", at, "expect"),
                    f"'{phrase}' is a number, so it could be taken for a reading",
                    "Write a phrase that names what was done",
                )


def _tables(task: Task, source: Source) -> Iterator[Problem]:
    """A table's other reading is taken before, and cannot leave the table."""
    taken: dict[str, ReadingExpected] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, ReadingExpected):
            continue
        limits = step.expect.limits
        path: Path = ("steps", at, "expect", "limits")
        if isinstance(limits, TableLimits):
            other = taken.get(limits.over)
            if other is None:
                known = ", ".join(taken) or "none yet"
                yield source.problem(
                    (*path, "over"),
                    f"no earlier step '{limits.over}' takes a reading",
                    f"Earlier readings: {known}",
                )
            elif not _stays_inside(other, limits):
                yield source.problem(
                    (*path, "table"),
                    f"the limits of '{limits.over}' allow values outside this table",
                    f"Give '{limits.over}' a min and max within {limits.first} to {limits.last}",
                )
        taken[step.id] = step.expect


def _stays_inside(other: ReadingExpected, table: TableLimits) -> bool:
    limits = other.limits
    return (
        isinstance(limits, FixedLimits)
        and limits.min is not None
        and limits.max is not None
        and table.first <= limits.min
        and limits.max <= table.last
    )


def _walk(task: Task, source: Source) -> Iterator[Problem]:
    now = {name: state.start for name, state in task.states.items()}
    yield from _broken_rules(task, now, source, ("states",), "at the start")
    for at, step in enumerate(task.steps):
        for name, value in step.needs.items():
            if now[name] != value:
                yield source.problem(
                    ("steps", at, "needs", name),
                    f"step '{step.id}' needs '{name}' {value}, but by then it is {now[name]}",
                    "Set it in an earlier step, or mend the order",
                )
        if step.sets:
            now |= step.sets
            yield from _broken_rules(
                task, now, source, ("steps", at, "sets"), f"after step '{step.id}'"
            )
    for name, state in task.states.items():
        if now[name] != state.end:
            yield source.problem(
                ("states", name, "end"),
                f"'{name}' must end {state.end}, but the last step leaves it {now[name]}",
                "Add the step that sets it",
            )


def _broken_rules(
    task: Task, now: Mapping[str, str], source: Source, path: Path, moment: str
) -> Iterator[Problem]:
    for rule in task.never:
        if all(now[name] == value for name, value in rule.when.items()):
            held = ", ".join(f"{name} {value}" for name, value in rule.when.items())
            yield source.problem(
                path,
                f"{moment} this must never be: {held}; because {rule.because}",
                "Mend the order of the steps",
            )
