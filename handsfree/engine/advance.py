"""The conversation: what follows each event.

`advance` is the whole engine. Equal inputs give equal effects, on any day, on any machine. Here an
event is led to the concept that it belongs to, and what was heard is believed or not; what was
understood is led on by `understanding`. Each concept has a module of its own.
"""

from dataclasses import replace
from datetime import timedelta

from handsfree.engine import helping, interrupting, remarks, timing, wording
from handsfree.engine.crew import Crew
from handsfree.engine.effects import Finish, Listen, Write
from handsfree.engine.entries import NotActedOn, TaskBegun
from handsfree.engine.events import (
    Event,
    HearingLost,
    HearingReturned,
    SilenceFor,
    Spoken,
    Started,
    TakenUp,
    TimeCame,
    VoiceLost,
)
from handsfree.engine.leaving import leave, rework
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.proceeding import arrive
from handsfree.engine.replies import (
    Advance,
    UnexpectedEvent,
    not_heeded,
    reply,
    step_number,
    step_of,
)
from handsfree.engine.state import Given, Progress, State
from handsfree.engine.trust import MOST_DOUBTS, PHRASE_AT, Stakes, Trust, trust
from handsfree.engine.understanding import understood, understood_while_standing_by
from handsfree.engine.waiting import Ready, StandingBy, WhyRejected, WhyUnable
from handsfree.task.course import DONE, REJECTED, Position, beginning
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import Ambiguous, NotUnderstood, Ordered, Spoke, Understood
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord

__all__ = ["UnexpectedEvent", "advance", "before_start"]


def before_start(task: Task) -> State:
    """The state of a run before anything has happened."""
    position = Position(
        step=0,
        variants=(),
        states=tuple((name, state.start) for name, state in task.states.items()),
        counts=tuple((name, each.start) for name, each in task.counted.items()),
        answered=(),
    )
    return State(Ready(), Progress(position))


def advance(task: Task, state: State, event: Event) -> Advance:
    """Decide what follows `event`.

    The effects are to be carried out in order. After any `Say` the shell sends `Spoken` when the
    last word is out, or `VoiceLost`; nothing heard before that is acted on. Raises
    UnexpectedEvent, and only that, for an event that the phase does not allow.
    """
    match event:
        case Started():
            return _started(task, state, event)
        case Spoken():
            return _spoken(task, state)
        case SilenceFor():
            return interrupting.silence(task, _at_time(state, event.at), event)
        case TimeCame(at):
            return timing.time_came(task, _at_time(state, at), before=state.now)
        case HearingLost() | HearingReturned():
            return interrupting.hearing_changed(task, state, event)
        case VoiceLost(reason):
            if not state.speaking or state.phase in (Phase.STANDING_BY, Phase.FINISHED):
                # Nothing is decided there, and what tells of the loss would not be heard either.
                return _spoken(task, state)
            return interrupting.voice_lost(task, replace(state, speaking=False), reason)
        case TakenUp():
            return interrupting.taken_up(task, _at_time(state, event.at), event)
        case Heard():
            exchange = replace(state.exchange, asked_into_silence=False)
            return _heard(task, replace(_at_time(state, event.ended), exchange=exchange), event)


def _at_time(state: State, now: timedelta) -> State:
    return replace(state, now=max(state.now, now))


def _started(task: Task, state: State, started: Started) -> Advance:
    if state.phase is not Phase.READY:
        raise UnexpectedEvent("the task has already been started")
    variants = dict(started.variants)
    if variants.keys() != task.variants.keys() or any(
        value not in task.variants[name] for name, value in variants.items()
    ):
        raise UnexpectedEvent(f"{variants} is not one value for each of {dict(task.variants)}")
    if not started.people and any(step.inspection for step in task.steps):
        raise UnexpectedEvent("a task with an inspection needs a roster")
    begun = TaskBegun(
        task.task,
        task.revision,
        task.approved_data.reference,
        task.approved_data.revision,
        started.confusable,
        started.variants,
        bool(started.people),
    )
    crew = Crew(started.people, clock=started.clock, at=started.at).asked_anew(task)
    given = Given(started.confusable, started.today, started.equipment, started.manner)
    progress = Progress(beginning(task, variants))
    state = replace(_at_time(state, started.at), progress=progress, given=given, crew=crew)
    return arrive(task, state, (begun,), wording.steps.opening(task, variants))


def _spoken(task: Task, state: State) -> Advance:
    if not state.speaking:
        raise UnexpectedEvent("nothing was being said")
    state = replace(state, speaking=False)
    if state.phase is Phase.FINISHED:
        return state, (Finish(),)
    if state.phase is Phase.ANSWERING and step_of(task, state).expect is None:
        return leave(task, state, DONE, None)
    return state, (Listen(phrases_now(task, state), timing.tell_at(task, state)),)


def _heard(task: Task, state: State, heard: Heard) -> Advance:
    if state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent(f"nothing is listened for while {state.phase.value}")
    if state.speaking:
        return state, (Write(not_heeded(task, state, heard, NotActedOn.SPOKEN_OVER)),)
    parsed = phrases_now(task, state).parse(heard.words)
    trusted = trust(heard.score, parsed, _stakes(task, state, heard))
    # Only at a step can a phrase be read back to be affirmed.
    in_doubt = {Trust.ASK_AGAIN} if state.phase in AT_A_STEP else {Trust.ASK_AGAIN, Trust.READ_BACK}
    doubtful = trusted in in_doubt
    waits = state.waits_for
    if isinstance(waits, StandingBy):
        if isinstance(parsed, Understood) and not doubtful:
            return understood_while_standing_by(task, state, waits, heard, parsed.meaning)
        if parsed == Understood(Spoke(StandardWord.GO_AHEAD)):
            return state, (
                Write(not_heeded(task, state, heard, NotActedOn.DOUBTFUL)),
                Listen(phrases_now(task, state)),
            )
        return interrupting.heard_while_standing_by(task, state, waits, heard)
    if isinstance(waits, WhyUnable | WhyRejected):
        if not doubtful and isinstance(parsed, Understood):
            match parsed.meaning:
                case Spoke(word=word) if word in ACTED_ON[state.phase]:
                    return reply(state, (), state.exchange.said)
                case Ordered(PlainWord.HELP):
                    return helping.asked_for_help(task, state)
        return _remarked(task, state, heard, waits)
    if isinstance(parsed, NotUnderstood) and heard.words and heard.score >= PHRASE_AT:
        return helping.of_no_use(task, state.with_doubts(0), heard, "")
    if doubtful or isinstance(parsed, NotUnderstood):
        return _doubt(task, state, heard, NotActedOn.DOUBTFUL)
    if isinstance(parsed, Ambiguous):
        return _doubt(task, state, heard, NotActedOn.AMBIGUOUS, parsed.reason)
    state = state.with_doubts(0)
    after, effects = understood(task, state, heard, parsed.meaning, trusted)
    if after.exchange.helped == state.exchange.helped:
        after = replace(after, exchange=replace(after.exchange, helped=0))
    return after, effects


def _stakes(task: Task, state: State, heard: Heard) -> Stakes:
    return Stakes(
        critical=step_of(task, state).critical,
        confusable=" ".join(heard.words) in state.given.confusable
        # One short word is all that stands between the record and a pin that is not where it says.
        or state.phase in (Phase.CHECKING_STATES, Phase.GOING_BACK, Phase.INSPECTING),
    )


def _doubt(
    task: Task, state: State, heard: Heard, reason: NotActedOn, asked_because: str = ""
) -> Advance:
    doubts = state.exchange.doubts + 1
    state = state.with_doubts(doubts)
    entry = not_heeded(task, state, heard, reason)
    if doubts < MOST_DOUBTS:
        # What was not heard may have been a correction: "affirm" must never follow "say again"
        # without the value that it would affirm.
        asks = state.value_said
        if doubts > 1 and not asks and not asked_because:
            # Once more the same way would help nobody: say what could be heard.
            asks = wording.help.asked_again(step_of(task, state).expect, state)
        return reply(state, (entry,), (*wording.replies.say_again(asked_because), *asks))
    says = wording.replies.not_heard(doubts, step_number(task, state))
    why = f"{doubts} doubtful hearings"
    return interrupting.stand_by(task, state, (entry,), why, says)


def _remarked(task: Task, state: State, heard: Heard, why: WhyUnable | WhyRejected) -> Advance:
    asked_again = remarks.nothing_said(task, state, heard)
    if asked_again is not None:
        return asked_again
    state = state.with_doubts(0)
    match why:
        case WhyUnable():
            return remarks.why_unable(task, state, heard, why)
        case WhyRejected():
            return rework(task, state, heard, remarks.remark(task, state, REJECTED, heard))
