"""Leaving a step by the way that its answer takes, once an inspector has seen it where one must."""

from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from handsfree.engine import wording
from handsfree.engine.accounting import seen_after
from handsfree.engine.entries import (
    Entry,
    InspectionCalled,
    InspectionPassed,
    InspectionRejected,
    StepConfirmed,
    StepDeferred,
    StepLeft,
)
from handsfree.engine.judging import needs_affirm
from handsfree.engine.proceeding import arrive, proceed
from handsfree.engine.remarks import ask_why
from handsfree.engine.replies import Advance, Entries, Says, step_of, without_value
from handsfree.engine.state import Progress, State
from handsfree.engine.waiting import Uninspected, WhyRejected
from handsfree.task.course import DEFERRED, INSIDE, LATE, REJECTED, Way, move, way_out
from handsfree.task.expectations import DateExpected, IdentityExpected
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.step import Step
from handsfree.words.heard import Heard

_Found = TypeVar("_Found")


def leave(
    task: Task, state: State, outcome: str, heard: Heard | None, entries: Entries = ()
) -> Advance:
    """Leave the step by `outcome`; `heard` is what was said to that, None where it is only said.

    A step with an inspection waits for it first, where it would be done.
    """
    step = step_of(task, state)
    way = way_out(step, outcome)
    if way is None:
        raise AssertionError(f"step {step.id} has no way out by '{outcome}'")
    if step.inspection and way.done and heard is not None:
        return _call_inspector(task, state, outcome, heard, entries)
    return _left(task, state, way, state.pending, heard, entries, ())


def _call_inspector(
    task: Task, state: State, outcome: str, heard: Heard, entries: Entries
) -> Advance:
    by = state.crew.number_of(Role.TECHNICIAN)
    work = Uninspected(outcome, state.pending, heard, by)
    state = replace(
        without_value(state),
        this_step=replace(state.this_step, uninspected=work),
        crew=replace(state.crew, missing=(Role.INSPECTOR,)),
    )
    return proceed(task, state, (*entries, InspectionCalled(step_of(task, state).id, by)))


def inspection_passed(task: Task, state: State, work: Uninspected) -> Advance:
    """The inspector has found the work of the step as it must be: now it is done."""
    step, by = step_of(task, state), state.crew.number_of(Role.INSPECTOR)
    way = way_out(step, work.outcome)
    if way is None or by is None:
        raise AssertionError("an inspection without a way on, or without an inspector")
    passed = (InspectionPassed(step.id, by),)
    says = (wording.findings.inspected(state.step + 1),)
    return _left(task, state, way, work.value, work.heard, passed, says)


def inspection_rejected(task: Task, state: State) -> Advance:
    """The inspector has found it otherwise, and says why."""
    by = state.crew.number_of(Role.INSPECTOR)
    assert by is not None
    state = replace(state, this_step=replace(state.this_step, uninspected=None))
    entry = InspectionRejected(step_of(task, state).id, by)
    says = wording.findings.say_why(state.step + 1, "Rejected")
    return ask_why(state, WhyRejected(), (entry,), says)


def rework(task: Task, state: State, heard: Heard, entries: Entries) -> Advance:
    """Why it was rejected has been said: on to where the task leads, or the step once more."""
    before = (wording.findings.rework(),)
    way = way_out(step_of(task, state), REJECTED)
    if way is None:
        return proceed(task, state, entries, before)
    return _left(task, state, way, None, heard, entries, before)


def _left(
    task: Task,
    state: State,
    way: Way,
    value: Decimal | str | None,
    heard: Heard | None,
    entries: Entries,
    before: Says,
) -> Advance:
    step, words = step_of(task, state), " ".join(heard.words) if heard else ""
    entry, echo = _told(state, step, way, words)
    reading = value if isinstance(value, Decimal) and way.outcome == INSIDE else None
    identity = value if isinstance(step.expect, IdentityExpected | DateExpected) else None
    identified = identity if isinstance(identity, str) and way.done else None
    rested_on = heard is not None and way.done and step.id in dict(state.position.answered)
    worked = way.done or way.planned
    was, others = state.progress, tuple(each for each in state.done if each != step.id)
    progress = Progress(
        position=move(task, state.position, way),
        readings=_anew(was.readings, step, reading),
        identified=_anew(was.identified, step, identified),
        seen=seen_after(was.seen, step, way),
        done=(*others, step.id) if worked and step.expect is not None else others,
        left_undone=_anew(was.left_undone, step, None if worked else way.outcome),
        done_at=_anew(was.done_at, step, heard.ended if heard and rested_on else None),
        void=tuple(each for each in was.void if each != step.id),
    )
    state = replace(without_value(state), progress=progress)
    return arrive(task, state, (*entries, entry), (*before, *echo))


def _told(state: State, step: Step, way: Way, words: str) -> tuple[Entry, Says]:
    """What is written of leaving the step, and what is said to it."""
    sets = tuple(way.sets.items())
    if way.outcome == DEFERRED and step.deferral is not None:
        entry = StepDeferred(step.id, step.deferral.authority, words, sets)
        return entry, (wording.steps.deferred(state.step + 1),)
    if way.outcome == LATE:
        return StepLeft(step.id, way.outcome, words, sets), (wording.steps.late(state.step + 1),)
    if way.outcome == REJECTED:
        return StepLeft(step.id, way.outcome, words, sets), ()
    # A value has been read back before it was affirmed; a phrase is read back now.
    echo = (
        ()
        if step.expect is None or needs_affirm(step.expect)
        else (wording.steps.confirmed(words),)
    )
    if way.done:
        return StepConfirmed(step.id, words, sets, tuple(way.counts.items())), echo
    return StepLeft(step.id, way.outcome, words, sets, way.planned), echo


def _anew(
    found: tuple[tuple[str, _Found], ...], step: Step, value: _Found | None
) -> tuple[tuple[str, _Found], ...]:
    """What was found, by step, with `value` for this one; what it found before is gone."""
    others = tuple(each for each in found if each[0] != step.id)
    return others if value is None else (*others, (step.id, value))
