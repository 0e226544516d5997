"""Checks across a task file: every name that is used exists, and means what it is used for."""

import difflib
from collections.abc import Iterable, Iterator, Mapping

from handsfree.task.branching import END, Exit
from handsfree.task.checks.limit_references import check_limits
from handsfree.task.checks.outcomes import impossible_outcomes
from handsfree.task.checks.scales import scale_problems
from handsfree.task.conditions import UNKNOWN, Condition, Not, named_in
from handsfree.task.course import DONE, LATE, NAMED_OUTCOMES, possible_outcomes
from handsfree.task.expectations import ChoiceExpected, fixed_answers
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.repeat import marks_left
from handsfree.task.source import Path, Source
from handsfree.task.step import Step
from handsfree.task.tools import check_tools
from handsfree.words.meanings import NotUnderstood
from handsfree.words.phrases import BUILT_IN

MOST_PHRASES = 5_000
"""Of a task. More can be told apart neither by ear nor in reasonable time."""


def check_references(task: Task, source: Source) -> list[Problem]:
    """Every problem that shows only when the parts of the file are held against each other."""
    return [
        *_repeated_steps(task, source),
        *_names_used_twice(task, source),
        *_unknown_states(task, source),
        *_unknown_counted(task, source),
        *_jumps(task, source),
        *_waits(task, source),
        *_marks_left(task, source),
        *_phrases_that_are_numbers(task, source),
        *_too_many_phrases(task, source),
        *_phrases_that_say_otherwise(task, source),
        *check_limits(task, source),
        *scale_problems(task, source),
        *impossible_outcomes(task, source),
        *check_tools(task, source),
    ]


def _repeated_steps(task: Task, source: Source) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for at, step in enumerate(task.steps):
        path: Path = ("steps", at, "id")
        if step.id == END:
            yield source.problem(
                path, f"a step cannot be called '{END}', which ends the task", "Give it another id"
            )
        if step.id in first:
            line = source.place(("steps", first[step.id]))[0]
            yield source.problem(
                path,
                f"step id '{step.id}' is used twice, first in line {line}",
                "Give each step its own id",
            )
        first.setdefault(step.id, at)


def _names_used_twice(task: Task, source: Source) -> Iterator[Problem]:
    kinds: dict[str, Iterable[str]] = {
        "variants": task.variants,
        "states": task.states,
        "counted": task.counted,
    }
    first: dict[str, str] = {}
    for kind, names in kinds.items():
        for name in names:
            if name in first:
                yield source.problem(
                    (kind, name),
                    f"'{name}' is already a name under '{first[name]}'",
                    "Give each its own name",
                )
            first.setdefault(name, kind)


def _unknown_states(task: Task, source: Source) -> Iterator[Problem]:
    states = {name: state.values for name, state in task.states.items()}
    for path, conditions in _conditions(task):
        known = {**task.variants, **states} if path[-1] == "applies" else states
        for name, condition in conditions.items():
            yield from _unknown(source, (*path, name), name, named_in(condition), known)
            values = known.get(name, ())
            if isinstance(condition, Not) and set(values) == set(condition.excluded):
                yield source.problem(
                    (*path, name), f"no value of '{name}' is left", "Exclude fewer of them"
                )
    can_be_set = {each: (*values, UNKNOWN) for each, values in states.items()}
    for path, sets in _sets(task):
        for name, value in sets.items():
            yield from _unknown(source, (*path, name), name, (value,), can_be_set)


def _unknown(
    source: Source,
    path: Path,
    name: str,
    values: tuple[str, ...],
    known: Mapping[str, tuple[str, ...]],
) -> Iterator[Problem]:
    if name not in known:
        names = ", ".join(known) or "none; add it under 'states'"
        yield source.problem(path, f"unknown state '{name}'", f"Known: {names}")
        return
    for value in values:
        if value not in known[name]:
            can_be = [each for each in known[name] if each != UNKNOWN]
            yield source.problem(
                path,
                f"'{value}' is not a value of state '{name}'",
                f"Write {' or '.join(can_be)}",
            )


def _conditions(task: Task) -> Iterator[tuple[Path, Mapping[str, Condition]]]:
    for at, rule in enumerate(task.never):
        yield ("never", at, "when"), rule.when
    for at, step in enumerate(task.steps):
        yield ("steps", at, "needs"), step.needs
        yield ("steps", at, "applies"), step.applies


def _sets(task: Task) -> Iterator[tuple[Path, Mapping[str, str]]]:
    for at, step in enumerate(task.steps):
        yield ("steps", at, "sets"), step.sets
        for path, leads in _exits(at, step):
            yield (*path, "sets"), leads.sets


def _exits(at: int, step: Step) -> Iterator[tuple[Path, Exit]]:
    for outcome, leads in step.then.items():
        yield ("steps", at, "then", outcome), leads
    if step.deferral is not None:
        yield ("steps", at, "deferral"), step.deferral


def _unknown_counted(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        for key, counts in (("counts_out", step.counts_out), ("counts_in", step.counts_in)):
            for name in counts:
                if name not in task.counted:
                    known = ", ".join(task.counted) or "none; add it under 'counted'"
                    yield source.problem(
                        ("steps", at, key, name),
                        f"nothing is counted by the name '{name}'",
                        f"Known: {known}",
                    )


def _jumps(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        possible = possible_outcomes(step)
        for outcome in step.then:
            if outcome not in (*possible, DONE):
                yield source.problem(
                    ("steps", at, "then", outcome),
                    f"step '{step.id}' has no outcome '{outcome}'",
                    f"It can have: {', '.join(dict.fromkeys((*possible, DONE)))}",
                )
        for path, leads in _exits(at, step):
            if leads.go == step.id:
                yield source.problem(
                    path,
                    f"step '{step.id}' leads to itself",
                    "Leave it out where the step is only to be tried again: it always is",
                )
            elif leads.go not in (None, END) and leads.go not in task.index_of:
                others = [each.id for each in task.steps if each is not step]
                near = difflib.get_close_matches(leads.go, others, n=1)
                yield source.problem(
                    path,
                    f"there is no step '{leads.go}' to lead to",
                    f"Did you mean '{near[0]}'?" if near else f"Write the id of a step, or '{END}'",
                )
        if isinstance(step.expect, ChoiceExpected):
            for choice in NAMED_OUTCOMES & set(step.expect.choose):
                yield source.problem(
                    ("steps", at, "expect", "choose"),
                    f"the choice '{choice}' is also the name of an outcome",
                    "Write a phrase that names what is found",
                )


def _waits(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        if step.wait is None:
            continue
        since = task.index_of.get(step.wait.since)
        if since is None or since == at or task.steps[since].expect is None:
            yield source.problem(
                ("steps", at, "wait", "since"),
                f"'{step.wait.since}' is not another step that is answered",
                "Name the step whose answer the time is counted from",
            )
        if step.wait.at_most is not None and LATE not in step.then:
            yield source.problem(
                ("steps", at, "wait", "at_most"),
                f"nothing says what follows when step '{step.id}' is too late",
                "Add 'then: {late: STEP}'",
            )


def states_said(task: Task) -> dict[str, tuple[str, str]]:
    """Each phrase that says what a state is, such as "pin fitted": the state and its value."""
    return {
        f"{called} {value}": (name, value)
        for name, state in task.states.items()
        for called in (state.called, name.replace("-", " "))
        for value in state.values
    }


def _phrases_that_say_otherwise(task: Task, source: Source) -> Iterator[Problem]:
    """Who says "pin fitted" must not have it written down that the pin is removed."""
    says = states_said(task)
    for at, step in enumerate(task.steps):
        for phrase in fixed_answers(step.expect):
            leads = step.then.get(phrase)
            changes = {**step.sets, **(leads.sets if leads else {})}
            name, value = says.get(phrase, ("", ""))
            if changes.get(name, value) != value:
                in_then = leads is not None and name in leads.sets
                path: Path = ("then", phrase, "sets", name) if in_then else ("sets", name)
                yield source.problem(
                    ("steps", at, *path),
                    f"'{phrase}' is said, and it sets '{name}' {changes[name]}",
                    f"Write {value}, or another phrase",
                )


def _too_many_phrases(task: Task, source: Source) -> Iterator[Problem]:
    """Each is listened for at every moment, and held against every other."""
    phrases = {each for step in task.steps for each in fixed_answers(step.expect)}
    if len(phrases) > MOST_PHRASES:
        yield source.problem(
            ("steps",),
            f"the task has {len(phrases):,} phrases that differ",
            f"Write at most {MOST_PHRASES:,}, or split the task",
        )


def _marks_left(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        texts = (*step.warning, *step.caution, *step.note, step.instruction)
        for mark in dict.fromkeys(mark for text in texts for mark in marks_left(text)):
            yield source.problem(
                ("steps", at),
                f"'{mark}' stands for nothing in step '{step.id}'",
                f"Add 'each: {{{mark[1:-1]}: [...]}}' with what it stands for",
            )


def _phrases_that_are_numbers(task: Task, source: Source) -> Iterator[Problem]:
    for at, step in enumerate(task.steps):
        for phrase in fixed_answers(step.expect):
            if not isinstance(BUILT_IN["number"].parse(phrase.split()), NotUnderstood):
                yield source.problem(
                    ("steps", at, "expect"),
                    f"'{phrase}' is a number, so it could be taken for a reading",
                    "Write a phrase that names what was done",
                )
