"""What comes next: whatever is still open before the step can be worked on, then the step."""

from dataclasses import replace

from handsfree.engine import brevity, timing, wording
from handsfree.engine.entries import StepBegun, TaskEnded
from handsfree.engine.replies import Advance, Entries, Says, ask, step_id, without_value
from handsfree.engine.state import State, ThisStep
from handsfree.engine.waiting import (
    Answering,
    CheckingState,
    Finished,
    Identifying,
    Inspecting,
    WaitsFor,
    WhyRejected,
)
from handsfree.task.conditions import UNKNOWN
from handsfree.task.model import Task
from handsfree.task.roles import Role


def proceed(
    task: Task,
    state: State,
    entries: Entries = (),
    before: Says = (),
    *,
    arriving: bool = False,
) -> Advance:
    """Go on with the first thing that is open; a step that is spoken again is spoken in full.

    Who is here comes first, for all that follows is put on the record under their names; then the
    summary for somebody who takes over; then each state; then the inspection, or the step itself.
    """
    state = without_value(state)
    if state.crew.missing:
        return identify(state, Identifying(state.crew.missing[0]), entries, before)
    if state.resumption.hears_summary:
        state = replace(state, resumption=replace(state.resumption, hears_summary=False))
        before = (*before, *wording.interruptions.summary(task, state))
    if state.resumption.checks:
        name = state.resumption.checks[0]
        asks = wording.interruptions.check_state(task, name, dict(state.states)[name])
        return _ask(state, CheckingState(name), entries, before, asks)
    if state.step == len(task.steps):
        return _end(task, state, entries, before)
    work, inspector = state.this_step.uninspected, state.crew.number_of(Role.INSPECTOR)
    if work is not None and inspector is None:
        return identify(state, Identifying(Role.INSPECTOR), entries, before)
    if work is not None and inspector is not None:
        asks = wording.findings.look_at(task, state, work)
        return _ask(state, Inspecting(work, inspector), entries, before, asks)
    if state.this_step.is_rejected:
        # Whatever came between, rejected work leads to where the task says, and to nothing else.
        asks = wording.findings.say_why(state.step + 1, "Rejected")
        return _ask(state.without_doubt(), WhyRejected(), entries, before, asks)
    step = task.steps[state.step]
    asks = wording.steps.step(state.step + 1, step)
    entries = (*entries, StepBegun(step_id(task, state)))
    state, effects = _ask(state, Answering(), entries, before, asks, timing.told(task, state))
    if not arriving:
        return state, effects
    at = len(entries) + len(before)
    in_short = brevity.step_as_said(task, state)
    return state, (*effects[:at], *in_short, *effects[at + len(asks) :])


def identify(state: State, asked: Identifying, entries: Entries = (), before: Says = ()) -> Advance:
    """Ask somebody for their staff number."""
    return _ask(state, asked, entries, before, wording.people.say_who(asked.role))


def arrive(task: Task, state: State, entries: Entries, before: Says) -> Advance:
    """The run has come to the step where it stands now; going back can bring it here again."""
    past = (*state.past, state.progress)
    state = replace(state, past=past, this_step=ThisStep(begun_at=state.now))
    return proceed(task, state, entries, before, arriving=True)


def states_in_doubt(state: State) -> tuple[str, ...]:
    """Every state whose value is on record: each is to be confirmed after an interruption."""
    return tuple(name for name, value in state.states if value != UNKNOWN)


def all_in_doubt(state: State) -> State:
    """After a long time away, or with other people here: states and unfinished work are doubtful.

    What was measured but not finished may have changed, so it is measured again.
    """
    missing = tuple(each for each in state.crew.missing if each is not Role.INSPECTOR)
    state = without_value(state).with_checks(states_in_doubt(state))
    return replace(
        state,
        this_step=ThisStep(
            begun_at=state.this_step.begun_at, is_rejected=state.this_step.is_rejected
        ),
        crew=replace(state.crew, missing=missing),
    )


def last_three(state: State) -> tuple[str, ...]:
    """The last steps that are done."""
    return state.done[-3:]


def people_anew(task: Task, state: State) -> State:
    """Whoever is here now says who they are."""
    return replace(state, crew=state.crew.asked_anew(task))


def _ask(
    state: State, waits: WaitsFor, entries: Entries, before: Says, asks: Says, after: Says = ()
) -> Advance:
    """Ask; `before` and `after` are said now only, and are not what "say again" repeats."""
    state, effects = ask(replace(state, waits_for=waits), entries, (*before, *asks, *after))
    return replace(state, exchange=replace(state.exchange, said=asks)), effects


def _end(task: Task, state: State, entries: Entries, before: Says) -> Advance:
    says = (
        *before,
        *wording.steps.ending(
            task, dict(state.states), dict(state.counts), dict(state.progress.left_undone)
        ),
    )
    findings = wording.findings.open_findings(task, state.findings.open)
    says = (*says[:-1], *findings, says[-1])  # that it certifies nothing is the last word
    ended = TaskEnded(state.states, state.counts, state.progress.left_undone, state.findings.open)
    return ask(replace(state, waits_for=Finished()), (*entries, ended), says)
