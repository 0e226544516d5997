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
from handsfree.engine.replies import Advance, Entries, Says, step_of, without_value
from handsfree.engine.state import Progress, State
from handsfree.engine.waiting import Inspecting, Uninspected
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
    """Leave the step by `outcome`; `heard` answered it, None where a step needs no answer.

    A step with an inspection waits for it first, where it would be done.
    """
    step = step_of(task, state)
    way = way_out(step, outcome)
    if way is None:
        raise AssertionError(f"step {step.id} has no way out by '{outcome}'")
    if step.inspection and way.done and heard is not None:
        return _call_inspector(task, state, way, heard, entries)
    told = _told(state, step, way, heard)
    return _left(task, state, way, state.pending, heard, entries, (), told)


def defer(task: Task, state: State, heard: Heard, by: str, reference: str) -> Advance:
    """Leave the step undone; `by` has deferred it, under a reference."""
    step = step_of(task, state)
    way = way_out(step, DEFERRED)
    if way is None or step.deferral is None:
        raise AssertionError(f"step {step.id} may not be deferred")
    sets, words = tuple(way.sets.items()), " ".join(heard.words)
    entry = StepDeferred(step.id, step.deferral.authority, words, sets, by, reference)
    told = (entry, (wording.steps.deferred(state.step + 1),))
    return _left(task, state, way, None, heard, (), (), told)


def _call_inspector(task: Task, state: State, way: Way, heard: Heard, entries: Entries) -> Advance:
    by = state.crew.number_of(Role.TECHNICIAN)
    work = Uninspected(way, state.pending, heard, by)
    state = replace(
        without_value(state),
        this_step=replace(state.this_step, uninspected=work),
        crew=replace(state.crew, missing=(Role.INSPECTOR,)),
    )
    return proceed(task, state, (*entries, InspectionCalled(step_of(task, state).id, by)))


def inspection_passed(task: Task, state: State, seen: Inspecting) -> Advance:
    """The inspector has found the work of the step as it must be: now it is done."""
    passed = (InspectionPassed(step_of(task, state).id, seen.by),)
    says = (wording.findings.inspected(state.step + 1),)
    told = _told(state, step_of(task, state), seen.work.way, seen.work.heard)
    return _left(task, state, seen.work.way, seen.work.value, seen.work.heard, passed, says, told)


def inspection_rejected(task: Task, state: State, seen: Inspecting) -> Advance:
    """The inspector has found that the work is not as it must be, and says why."""
    this_step = replace(state.this_step, uninspected=None, is_rejected=True)
    entry = InspectionRejected(step_of(task, state).id, seen.by)
    return proceed(task, replace(state, this_step=this_step), (entry,))


def rework(task: Task, state: State, heard: Heard, entries: Entries) -> Advance:
    """Why it was rejected has been said: on to where the task leads, or the step once more."""
    before = (wording.findings.rework(),)
    way = way_out(step_of(task, state), REJECTED)
    if way is None:
        state = replace(state, this_step=replace(state.this_step, is_rejected=False))
        return proceed(task, state, entries, before)
    told = _told(state, step_of(task, state), way, heard)
    return _left(task, state, way, None, heard, entries, before, told)


def _left(
    task: Task,
    state: State,
    way: Way,
    value: Decimal | str | None,
    heard: Heard | None,
    entries: Entries,
    before: Says,
    told: tuple[Entry, Says],
) -> Advance:
    step = step_of(task, state)
    entry, echo = told
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


def _told(state: State, step: Step, way: Way, heard: Heard | None) -> tuple[Entry, Says]:
    """What is written of leaving the step, and what is said to it."""
    sets, words = tuple(way.sets.items()), " ".join(heard.words) if heard else ""
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
