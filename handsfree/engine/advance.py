"""The conversation: what follows each event.

`advance` is the whole engine. Equal inputs give equal effects, on any day, on any machine. Here an
event is led to the concept that it belongs to. What was heard is believed or not by `believing`,
and led on by `understanding`. Each concept has a module of its own.
"""

from dataclasses import replace
from datetime import timedelta

from handsfree.engine import interrupting, timing, wording
from handsfree.engine.believing import heard_now
from handsfree.engine.crew import Crew
from handsfree.engine.effects import Finish
from handsfree.engine.entries import TaskBegun
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
from handsfree.engine.leaving import leave
from handsfree.engine.listening import listening
from handsfree.engine.misheard import counted
from handsfree.engine.phase import Phase
from handsfree.engine.proceeding import arrive
from handsfree.engine.replies import Advance, UnexpectedEvent, step_of
from handsfree.engine.state import Given, Progress, State
from handsfree.engine.voices import Voices
from handsfree.engine.waiting import Ready
from handsfree.task.course import DONE, Position, beginning
from handsfree.task.model import Task
from handsfree.words.heard import Heard

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
            state = replace(_at_time(state, event.ended), exchange=exchange)
            return counted(task, state, event, heard_now(task, state, event))


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
    exchange = replace(state.exchange, voices=Voices.heard_before(started.checked))
    state = replace(_at_time(state, started.at), progress=progress, given=given, crew=crew)
    state = replace(state, exchange=exchange)
    return arrive(task, state, (begun,), wording.steps.opening(task, variants))


def _spoken(task: Task, state: State) -> Advance:
    if not state.speaking:
        raise UnexpectedEvent("nothing was being said")
    state = replace(state, speaking=False)
    if state.phase is Phase.FINISHED:
        return state, (Finish(),)
    if state.phase is Phase.ANSWERING and step_of(task, state).expect is None:
        return leave(task, state, DONE, None)
    return state, (listening(task, state, timing.tell_at(task, state)),)
