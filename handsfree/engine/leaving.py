"""Leaving a step by the way that its answer takes, once an inspector has seen it where one must."""

from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from handsfree.engine import wording, wording_people
from handsfree.engine.accounting import seen_after
from handsfree.engine.answers import needs_affirm
from handsfree.engine.entries import (
    Entry,
    InspectionCalled,
    InspectionPassed,
    InspectionRejected,
    StepConfirmed,
    StepDeferred,
    StepLeft,
)
from handsfree.engine.proceeding import arrive, proceed
from handsfree.engine.remarks import ask_why
from handsfree.engine.replies import Advance, Entries, Says, step_of, without_value
from handsfree.engine.state import Held, State
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
        return _hold(task, state, outcome, heard, entries)
    return _left(task, state, way, heard, entries, ())


def _hold(task: Task, state: State, outcome: str, heard: Heard, entries: Entries) -> Advance:
    by = state.crew.number_of(Role.TECHNICIAN)
    state = replace(
        without_value(state),
        held=Held(outcome, state.pending, heard, by),
        crew=replace(state.crew, missing=(Role.INSPECTOR,)),
    )
    return proceed(task, state, (*entries, InspectionCalled(step_of(task, state).id, by)))


def inspection_passed(task: Task, state: State) -> Advance:
    """The inspector has found the work of the step as it must be: now it is done."""
    held, step = state.held, step_of(task, state)
    by = state.crew.number_of(Role.INSPECTOR)
    if held is None or by is None:
        raise AssertionError("an inspection without work to inspect, or without an inspector")
    way = way_out(step, held.outcome)
    assert way is not None
    state = replace(state, held=None, pending=held.pending)
    passed = (InspectionPassed(step.id, by),)
    return _left(task, state, way, held.heard, passed, (wording_people.inspected(state.step + 1),))


def inspection_rejected(task: Task, state: State) -> Advance:
    """The inspector has found it otherwise, and says why."""
    by = state.crew.number_of(Role.INSPECTOR)
    assert by is not None
    state = replace(state, held=None)
    entry = InspectionRejected(step_of(task, state).id, by)
    return ask_why(state, REJECTED, (entry,), wording_people.say_why(state.step + 1, "Rejected"))


def rework(task: Task, state: State, heard: Heard, entries: Entries) -> Advance:
    """Why it was rejected has been said: on to where the task leads, or the step once more."""
    before = (wording_people.rework(),)
    way = way_out(step_of(task, state), REJECTED)
    if way is None:
        return proceed(task, state, entries, before)
    return _left(task, state, way, heard, entries, before)


def _left(
    task: Task, state: State, way: Way, heard: Heard | None, entries: Entries, before: Says
) -> Advance:
    step, words = step_of(task, state), " ".join(heard.words) if heard else ""
    entry, echo = _told(state, step, way, words)
    pending = state.pending if isinstance(state.pending, Decimal) else None
    identity = state.pending if isinstance(step.expect, IdentityExpected | DateExpected) else None
    identified = identity if isinstance(identity, str) and way.done else None
    rested_on = heard is not None and way.done and step.id in dict(state.answered)
    done = tuple(each for each in state.done if each != step.id)
    state = replace(
        without_value(state).at(move(task, state.position, way)),
        readings=_anew(state.readings, step, pending if way.outcome == INSIDE else None),
        identified=_anew(state.identified, step, identified),
        seen=seen_after(state.seen, step, way),
        done_at=_anew(state.done_at, step, heard.ended if heard and rested_on else None),
        findings=_anew(state.findings, step, None if way.done else way.outcome),
        done=(*done, step.id) if way.done and step.expect is not None else done,
        void=tuple(each for each in state.void if each != step.id),
    )
    return arrive(task, state, (*entries, entry), (*before, *echo))


def _told(state: State, step: Step, way: Way, words: str) -> tuple[Entry, Says]:
    """What is written of leaving the step, and what is said to it."""
    sets = tuple(way.sets.items())
    if way.outcome == DEFERRED and step.deferral is not None:
        entry = StepDeferred(step.id, step.deferral.authority, words, sets)
        return entry, (wording.deferred(state.step + 1),)
    if way.outcome == LATE:
        return StepLeft(step.id, way.outcome, words, sets), (wording.late(state.step + 1),)
    if way.outcome == REJECTED:
        return StepLeft(step.id, way.outcome, words, sets), ()
    # A value has been read back before it was affirmed; a phrase is read back now.
    echo = () if step.expect is None or needs_affirm(step.expect) else (wording.confirmed(words),)
    if way.done:
        return StepConfirmed(step.id, words, sets, tuple(way.counts.items())), echo
    return StepLeft(step.id, way.outcome, words, sets), echo


def _anew(
    found: tuple[tuple[str, _Found], ...], step: Step, value: _Found | None
) -> tuple[tuple[str, _Found], ...]:
    """What was found, by step, with `value` for this one; what it found before is gone."""
    others = tuple(each for each in found if each[0] != step.id)
    return others if value is None else (*others, (step.id, value))
