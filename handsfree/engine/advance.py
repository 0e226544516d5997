"""The conversation: what follows each event.

`advance` is the whole engine. Equal inputs give equal effects, on any day, on any machine.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.answers import Outcome, judge, needs_affirm, read_back_first
from handsfree.engine.effects import Effect, Finish, Listen, Say, Write
from handsfree.engine.entries import (
    Entry,
    NotActedOn,
    NotHeeded,
    StepBegun,
    StepConfirmed,
    StoodBy,
    TaskBegun,
    TaskEnded,
    WentOn,
    Withdrawn,
)
from handsfree.engine.events import Event, HearingLost, HearingReturned, Spoken, Started
from handsfree.engine.listening import phrases_now
from handsfree.engine.state import ACTED_ON, Phase, State
from handsfree.engine.trust import MOST_DOUBTS, Stakes, Trust, trust
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import Ambiguous, Meaning, NotUnderstood, Spoke, Understood
from handsfree.words.standard import StandardWord

Advance = tuple[State, tuple[Effect, ...]]


class UnexpectedEvent(ValueError):
    """The shell sent an event that cannot happen now: a mistake in the shell, not of a person."""


def before_start(task: Task) -> State:
    """The state of a run before anything has happened."""
    return State(
        phase=Phase.READY,
        step=0,
        speaking=False,
        doubts=0,
        pending=None,
        readings=(),
        states=tuple((name, state.start) for name, state in task.states.items()),
        said=(),
        value_said=(),
    )


def advance(task: Task, state: State, event: Event) -> Advance:
    """Decide what follows `event`.

    The effects are to be carried out in order. After any `Say` the shell sends `Spoken` when the
    last word is out; nothing heard before that is acted on. Raises UnexpectedEvent, and only
    that, for an event that the phase does not allow.
    """
    match event:
        case Started():
            return _started(task, replace(state, confusable=event.confusable))
        case Spoken():
            return _spoken(task, state)
        case Heard():
            return _heard(task, state, event)
        case HearingLost() | HearingReturned():
            return _hearing_changed(task, state, event)


def _started(task: Task, state: State) -> Advance:
    if state.phase is not Phase.READY:
        raise UnexpectedEvent("the task has already been started")
    begun = TaskBegun(
        task.task,
        task.revision,
        task.approved_data.reference,
        task.approved_data.revision,
        state.confusable,
    )
    return _begin_step(task, state, (begun,), wording.opening(task))


def _spoken(task: Task, state: State) -> Advance:
    if not state.speaking:
        raise UnexpectedEvent("nothing was being said")
    state = replace(state, speaking=False)
    if state.phase is Phase.FINISHED:
        return state, (Finish(),)
    if state.phase is Phase.ANSWERING and task.steps[state.step].expect is None:
        return _next_step(task, state, "", ())
    return state, (Listen(phrases_now(task, state)),)


def _heard(task: Task, state: State, heard: Heard) -> Advance:
    if state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent(f"nothing is listened for while {state.phase.value}")
    if state.speaking:
        return state, (_not_heeded(task, state, heard, NotActedOn.SPOKEN_OVER),)
    parsed = phrases_now(task, state).parse(heard.words)
    trusted = trust(heard.score, parsed, _stakes(task, state, heard))
    doubtful = trusted is Trust.ASK_AGAIN
    if state.phase is Phase.STANDING_BY:
        if parsed == Understood(Spoke(StandardWord.GO_AHEAD)) and not doubtful:
            went_on = WentOn(_step_id(task, state))
            return _begin_step(task, state, (went_on,), (wording.going_on(),))
        # People talk to each other while the task waits: no answer, but listen on.
        return state, (
            _not_heeded(task, state, heard, NotActedOn.STANDING_BY),
            Listen(phrases_now(task, state)),
        )
    if doubtful or isinstance(parsed, NotUnderstood):
        return _doubt(task, state, heard, NotActedOn.DOUBTFUL)
    if isinstance(parsed, Ambiguous):
        return _doubt(task, state, heard, NotActedOn.AMBIGUOUS, parsed.reason)
    return _understood(task, replace(state, doubts=0), heard, parsed.meaning, trusted)


def _hearing_changed(task: Task, state: State, event: HearingLost | HearingReturned) -> Advance:
    if state.speaking or state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent("nothing is listened for now")
    if isinstance(event, HearingLost):
        says = wording.hearing_lost(event.reason, state.step + 1)
        return _stand_by(task, state, (), f"could not hear: {event.reason}", says)
    if state.phase is not Phase.STANDING_BY:
        raise UnexpectedEvent("the hearing was not lost")
    return _reply(state, (), wording.hearing_returned())


def _stakes(task: Task, state: State, heard: Heard) -> Stakes:
    return Stakes(
        critical=task.steps[state.step].critical,
        confusable=" ".join(heard.words) in state.confusable,
    )


def _doubt(
    task: Task, state: State, heard: Heard, reason: NotActedOn, asked_because: str = ""
) -> Advance:
    state = replace(state, doubts=state.doubts + 1)
    not_heeded = _not_heeded(task, state, heard, reason)
    if state.doubts < MOST_DOUBTS:
        # What was not heard may have been a correction: "affirm" must never follow "say again"
        # without the value that it would affirm.
        says = (*wording.say_again(asked_because), *state.value_said)
        return _reply(state, (not_heeded,), says)
    doubts = wording.not_heard(state.doubts, state.step + 1)
    return _stand_by(task, state, (not_heeded,), f"{state.doubts} doubtful hearings", doubts)


def _understood(
    task: Task, state: State, heard: Heard, meaning: Meaning, trusted: Trust
) -> Advance:
    if isinstance(meaning, Spoke):
        if meaning.word in ACTED_ON[state.phase]:
            return _standard_word(task, state, heard, meaning.word)
        return _no_use(task, state, heard)
    expected = task.steps[state.step].expect
    outcome = judge(task.steps[state.step], dict(state.readings), meaning, state.phase)
    if outcome is None:
        return _no_use(task, state, heard)
    waits = trusted is Trust.READ_BACK and outcome.done
    if waits:
        outcome = read_back_first(task.steps[state.step], outcome, " ".join(heard.words))
    writes = tuple(Write(entry) for entry in outcome.entries)
    if outcome.done:
        return _next_step(task, state, " ".join(heard.words), writes)
    return _ask_about(state, outcome, writes, held=waits or needs_affirm(expected))


def _ask_about(state: State, outcome: Outcome, writes: tuple[Write, ...], held: bool) -> Advance:
    state = replace(
        state,
        phase=outcome.phase,
        pending=outcome.pending,
        value_said=outcome.says if held else (),
    )
    return _reply(replace(state, said=outcome.says), writes, outcome.says)


def _standard_word(task: Task, state: State, heard: Heard, word: StandardWord) -> Advance:
    here = _step_id(task, state)
    match word:
        case StandardWord.AFFIRM:
            return _value_confirmed(task, state, word)
        case StandardWord.NEGATIVE | StandardWord.CORRECTION | StandardWord.DISREGARD:
            state = _without_value(state)
            says = wording.withdrawn(task.steps[state.step].expect)
            return _reply(replace(state, said=says), (Write(Withdrawn(here)),), says)
        case StandardWord.SAY_AGAIN:
            return _reply(state, (), state.said)
        case StandardWord.WORDS_TWICE:
            return _reply(state, (), wording.words_twice(state.said))
        case StandardWord.READ_BACK:
            return _reply(state, (), state.value_said)
        case StandardWord.HOW_DO_YOU_READ:
            return _reply(state, (), (wording.readability(heard.score),))
        case StandardWord.STAND_BY:
            return _stand_by(task, state, (), word.value, wording.standing_by())
        case StandardWord.UNABLE:
            return _stand_by(task, state, (), word.value, wording.unable(state.step + 1))
    raise AssertionError(f"{word} is acted on in {state.phase} but has no rule")


def _value_confirmed(task: Task, state: State, word: StandardWord) -> Advance:
    if isinstance(state.pending, str) and not needs_affirm(task.steps[state.step].expect):
        return _next_step(task, state, state.pending, ())
    readings = state.readings
    if not isinstance(state.pending, str | None):
        readings = (*readings, (_step_id(task, state), state.pending))
    return _next_step(task, replace(state, readings=readings), word.value, ())


def _no_use(task: Task, state: State, heard: Heard) -> Advance:
    not_heeded = _not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
    words = " ".join(heard.words)
    expected = task.steps[state.step].expect
    confirming = state.phase is Phase.CONFIRMING
    if confirming and needs_affirm(expected):
        return _reply(state, (not_heeded,), wording.confirm_or_correct(words))
    says = wording.no_use(words, wording.expected_answer(expected))
    if confirming:
        # Whatever was said in place of "affirm", the phrase that was read back is in doubt now.
        withdrawn = Write(Withdrawn(_step_id(task, state)))
        return _reply(_without_value(state), (not_heeded, withdrawn), says)
    return _reply(state, (not_heeded,), says)


def _stand_by(
    task: Task, state: State, writes: tuple[Write, ...], reason: str, says: tuple[Say, ...]
) -> Advance:
    stood_by = Write(StoodBy(_step_id(task, state), reason))
    # A value that waited for "affirm" may have changed by the time that work goes on.
    state = replace(_without_value(state), phase=Phase.STANDING_BY, doubts=0)
    return _reply(state, (*writes, stood_by), says)


def _without_value(state: State) -> State:
    return replace(state, phase=Phase.ANSWERING, pending=None, value_said=())


def _next_step(task: Task, state: State, words: str, writes: tuple[Write, ...]) -> Advance:
    step = task.steps[state.step]
    changed = tuple(step.sets.items())
    states = tuple((name, step.sets.get(name, value)) for name, value in state.states)
    confirmed = Write(StepConfirmed(step.id, words, changed))
    state = replace(_without_value(state), step=state.step + 1, states=states)
    # A value has been read back before it was affirmed; a phrase is read back now.
    echo = () if step.expect is None or needs_affirm(step.expect) else (wording.confirmed(words),)
    if state.step < len(task.steps):
        begun, effects = _begin_step(task, state, (), echo)
        return begun, (*writes, confirmed, *effects)
    says = (*echo, *wording.ending(task))
    state = replace(state, phase=Phase.FINISHED, said=says)
    return _reply(state, (*writes, confirmed, Write(TaskEnded(states))), says)


def _begin_step(
    task: Task, state: State, entries: tuple[Entry, ...], before: tuple[Say, ...]
) -> Advance:
    step = task.steps[state.step]
    says = wording.step(state.step + 1, step)
    state = replace(state, phase=Phase.ANSWERING, said=says)
    writes = tuple(Write(entry) for entry in (*entries, StepBegun(step.id)))
    return _reply(state, writes, (*before, *says))


def _reply(state: State, writes: tuple[Write, ...], says: tuple[Say, ...]) -> Advance:
    return replace(state, speaking=True), (*writes, *says)


def _not_heeded(task: Task, state: State, heard: Heard, reason: NotActedOn) -> Write:
    return Write(NotHeeded(_step_id(task, state), heard.words, reason))


def _step_id(task: Task, state: State) -> str:
    return task.steps[state.step].id
