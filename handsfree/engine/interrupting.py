"""Standing by, silence, a program that ended, and a handover: how work stops and goes on again."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

from handsfree.engine import timing, wording
from handsfree.engine.effects import Write
from handsfree.engine.entries import (
    Entry,
    FindingOpened,
    HandedOver,
    NotActedOn,
    StateAffirmed,
    StateDiffers,
    StoodBy,
    TimesVoid,
    WentOn,
)
from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor, TakenUp
from handsfree.engine.findings import Category
from handsfree.engine.listening import listening
from handsfree.engine.phase import Phase
from handsfree.engine.proceeding import (
    all_in_doubt,
    last_three,
    people_anew,
    proceed,
    states_in_doubt,
)
from handsfree.engine.remarks import free_text, open_finding, remark
from handsfree.engine.replies import (
    Advance,
    Entries,
    Says,
    UnexpectedEvent,
    ask,
    not_heeded,
    reply,
    step_id,
    step_number,
    without_value,
)
from handsfree.engine.state import Exchange, Progress, State
from handsfree.engine.waiting import (
    DeferralHeard,
    Deferring,
    Referencing,
    StandingBy,
    WhatWasDone,
    WhyRejected,
)
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.step import Step
from handsfree.words.heard import Heard
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord

# After so long away people no longer know by themselves what they had done. Common practice, no
# source: CAP 716 and ICAO Doc 9824 ask for going back some steps, and name no time.
LONG_INTERRUPTION = timedelta(minutes=10)

STAND_BY = StandardWord.STAND_BY.value
_ASKED_FOR = (STAND_BY, PlainWord.STOP.value)


_Deferral = Deferring | Referencing | DeferralHeard
# Where the task stood by, in its own words: its time is no work.
_WAITED = frozenset(
    {
        Phase.STANDING_BY,
        Phase.REMARKING,
        Phase.CATEGORISING,
        Phase.DEFERRING,
        Phase.REFERENCING,
        Phase.DEFERRAL_HEARD,
    }
)

# Remarks for which the task did not stand by.
_NO_WAIT = (WhatWasDone, WhyRejected)


def stand_by(task: Task, state: State, entries: Entries, reason: str, says: Says) -> Advance:
    """Act on nothing but "go ahead" from here on."""
    # A value that waited for "affirm" may have changed by the time that work goes on; and where it
    # was about to go back, somebody may have begun to put things back.
    if state.phase is Phase.GOING_BACK:
        state = state.with_checks(states_in_doubt(state))
    waits = StandingBy(state.now, asked_why=reason in _ASKED_FOR)
    state = replace(state.without_doubt(), waits_for=waits)
    return ask(state, (*entries, StoodBy(step_id(task, state), reason)), says)


def heard_while_standing_by(task: Task, state: State, waits: StandingBy, heard: Heard) -> Advance:
    """People talk to each other while the task waits: no answer, but listen on.

    The first thing that is said after "stand by" is kept as its reason, and acknowledged.
    """
    entries: list[Entry] = [not_heeded(task, state, heard, NotActedOn.STANDING_BY)]
    if waits.asked_why and free_text(heard):
        entries += remark(task, state, STAND_BY, heard)
        state = replace(state, waits_for=replace(waits, asked_why=False))
        return reply(state, tuple(entries), wording.help.noted())
    return state, (*map(Write, entries), listening(task, state))


def go_ahead(task: Task, state: State, waits: StandingBy | _Deferral) -> Advance:
    """Go on: at once after a short time, and after a long one only when all is as it was."""
    went_on = WentOn(step_id(task, state))
    before: Says = (wording.interruptions.going_on(),)
    if _was_long(state, waits):
        state = state.without_doubt()
        before = (*before, *wording.interruptions.last_done(task, last_three(state)))
        state = all_in_doubt(state)
    elif state.resumption.checks:
        state = state.with_checks(states_in_doubt(state))
    return proceed(task, state, (went_on,), before)


def after_waiting(state: State, waits: DeferralHeard) -> State:
    """Each state is in doubt, where the task has waited for a long time."""
    return all_in_doubt(state) if _was_long(state, waits) else state


def _was_long(state: State, waits: StandingBy | _Deferral) -> bool:
    return state.now - waits.since > LONG_INTERRUPTION


def silence(task: Task, state: State, event: SilenceFor) -> Advance:
    """Ask once, then stand by. No silence is left without a word."""
    if state.speaking or state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent("nobody was listened to, so nobody was silent")
    if state.phase is Phase.STANDING_BY:
        return reply(state, (), wording.interruptions.standing_by())
    if timing.is_too_early(task, state):
        # Whoever waits has nothing to say: the tool speaks again when the wait is over.
        return state, (listening(task, state, timing.tell_at(task, state)),)
    asked = state.exchange.asked_into_silence
    state = replace(state, exchange=replace(state.exchange, asked_into_silence=not asked))
    if not asked:
        return reply(state, (), wording.interruptions.are_you_there())
    seconds = f"{event.silence.total_seconds():.0f}"
    says = wording.interruptions.standing_by_for_silence()
    return stand_by(task, state, (), f"nobody answered, twice for {seconds} s", says)


def hearing_changed(task: Task, state: State, event: HearingLost | HearingReturned) -> Advance:
    """What could not be heard is no silence: the task stands by until somebody says "go ahead"."""
    if state.speaking or state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent("nothing is listened for now")
    if isinstance(event, HearingLost):
        says = wording.interruptions.hearing_lost(event.reason, step_number(task, state))
        waited = state.waits_for
        state, effects = stand_by(task, state, (), f"could not hear: {event.reason}", says)
        if isinstance(waited, StandingBy):
            # The task stood by already: people have been away since then.
            state = replace(state, waits_for=StandingBy(waited.since))
        return state, effects
    if state.phase is not Phase.STANDING_BY:
        raise UnexpectedEvent("the hearing was not lost")
    return reply(state, (), wording.interruptions.hearing_returned())


def voice_lost(task: Task, state: State, reason: str) -> Advance:
    """A warning that nobody heard is none: no answer counts before the step was said again."""
    says = wording.interruptions.voice_lost(reason, step_number(task, state))
    return stand_by(task, state, (), f"could not speak: {reason}", says)


def taken_up(task: Task, state: State, event: TakenUp) -> Advance:
    """Go on after the program had ended.

    Running time stood still, and nobody knows how long and who was at the work. So people are
    identified again, each state is confirmed, and each time that was running is void.
    """
    if state.phase is Phase.READY:
        raise UnexpectedEvent("a task that has not begun cannot be taken up")
    if state.phase is Phase.FINISHED:
        return reply(state, (), state.exchange.said)
    entries: list[Entry] = []
    if state.phase in _WAITED and not isinstance(state.waits_for, _NO_WAIT):
        entries.append(WentOn(step_id(task, state)))
    crew = replace(state.crew, clock=event.clock, at=event.at)
    state = people_anew(task, all_in_doubt(replace(state, crew=crew)))
    if event.clock is not None:
        state = replace(state, given=replace(state.given, today=event.clock.date()))
    state = replace(state, exchange=Exchange(state.exchange.said, voices=state.exchange.voices))
    timed = _timed(task.steps)
    void = _begun(state.progress, timed)
    says = (
        wording.interruptions.going_on_from_the_record(),
        *wording.interruptions.last_done(task, last_three(state)),
    )
    if void:
        entries.append(TimesVoid(void))
        says = (*says, *wording.interruptions.times_void(task.index_of[each] + 1 for each in void))
    # Wherever the run goes back to, what was timed before this moment is void there too.
    past = tuple(replace(each, void=_begun(each, timed)) for each in state.past)
    state = replace(state, progress=replace(state.progress, void=void), past=past)
    return proceed(task, state, tuple(entries), says)


def _begun(progress: Progress, timed: frozenset[str]) -> tuple[str, ...]:
    """The steps, of those that are timed, since which time runs now."""
    return tuple(step for step, _ in progress.done_at if step in timed)


def _timed(steps: Iterable[Step]) -> frozenset[str]:
    """The steps since which another one must be answered within a time."""
    return frozenset(
        step.wait.since for step in steps if step.wait is not None and step.wait.at_most is not None
    )


def state_affirmed(task: Task, state: State, name: str) -> Advance:
    """A state is as it is recorded; on to the next one."""
    entry = StateAffirmed(name, dict(state.states)[name])
    rest = tuple(each for each in state.resumption.checks if each != name)
    return proceed(task, state.with_checks(rest), (entry,))


def state_differs(task: Task, state: State, name: str) -> Advance:
    """A state is not as it is recorded: the run waits until it is, or goes back.

    The record is not changed to what was found: which steps would then count as done, nobody has
    proved. So the run stays at a position that `check` has seen.
    """
    undoes = _undone_by(task, state, name)
    called = task.states[name].called
    recorded = dict(state.states)[name]
    why = f"{called} is not {recorded}"
    state, finding = open_finding(task, state, Category.CONDITION, why)
    entries = (StateDiffers(name, recorded, undoes), FindingOpened(finding))
    numbers = (task.index_of[each] + 1 for each in undoes)
    says = wording.interruptions.state_differs(task, name, finding, numbers)
    # All are asked again: who moved one may have moved others.
    state = state.with_checks(states_in_doubt(state))
    return stand_by(task, state, entries, why, says)


def _undone_by(task: Task, state: State, name: str) -> tuple[str, ...]:
    """The step that set the state last, and those done after it that needed it so."""
    steps = [task.steps[task.index_of[each]] for each in state.done]
    setters = [at for at, step in enumerate(steps) if _sets(step, name)]
    if not setters:
        return tuple(step.id for step in steps if name in step.needs)
    last = setters[-1]
    return (steps[last].id, *(step.id for step in steps[last + 1 :] if name in step.needs))


def _sets(step: Step, name: str) -> bool:
    return name in step.sets or any(name in leads.sets for leads in step.then.values())


def hand_over(task: Task, state: State) -> Advance:
    """One person's part ends: all that the next one must know is said and written."""
    entry = HandedOver(
        step=step_id(task, state),
        by=state.crew.number_of(Role.TECHNICIAN),
        done=state.done,
        not_done=tuple(step for step, _ in state.progress.left_undone),
        states=state.states,
        counts=state.counts,
        open_findings=state.findings.open,
    )
    says = wording.interruptions.handing_over(task, without_value(state))
    state = people_anew(task, all_in_doubt(state))
    state = replace(state, resumption=replace(state.resumption, hears_summary=True))
    return stand_by(task, state, (entry,), "handed over", says)
