"""The only place where the parts meet: an ear, the engine, the record, a voice and a screen."""

import logging
from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from handsfree.engine import wording
from handsfree.engine.advance import advance, before_start
from handsfree.engine.delivery import Delivery
from handsfree.engine.effects import Effect, Finish, Listen
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
from handsfree.engine.manner import Manner
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.engine.waiting import asked_of
from handsfree.errors import HandsfreeError
from handsfree.record import Record, RecordNotWritten
from handsfree.record.marks import NotHeard, Stopped
from handsfree.record.replay import LeftOff
from handsfree.rehearse import confusable_phrases
from handsfree.running.parts import Ear, Follower, Screen, Utterance
from handsfree.running.signals import Interruptible
from handsfree.running.telling import Interrupted, Telling, reason_of
from handsfree.speaking import Speaker
from handsfree.task.equipment_list import ListedTool
from handsfree.task.model import Task
from handsfree.task.roles import Role, role_of
from handsfree.task.roster import Person, refuse_without_roster
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

_diagnostics = logging.getLogger(__name__)


def run(
    task: Task,
    ear: Ear,
    record: Record,
    speaker: Speaker,
    screen: Screen,
    variants: Mapping[str, str] | None = None,
    left_off: LeftOff | None = None,
    followers: Sequence[Follower] = (),
    equipment: tuple[ListedTool, ...] | None = None,
    people: tuple[Person, ...] = (),
    utc_now: Callable[[], datetime] | None = None,
    why_unheard: Callable[[], str | None] | None = None,
    stop_said: Callable[[], Utterance | None] | None = None,
    may_stop: Interruptible = nullcontext,
    manner: Manner = Manner.FULL,
    speak_as: Callable[[Delivery], None] | None = None,
    checked: tuple[tuple[str, tuple[bool, ...]], ...] = (),
) -> State:
    """Hold the conversation until the task or the ear ends; the last state tells which.

    `variants` has one value for each variant of the task, such as the side. `equipment` is what the
    tool store lists: numbers and dates are held against it. `people` is the roster of a new run;
    without one nobody is identified. `utc_now` tells the date today, and whose authorisation is
    over. `why_unheard` tells why something that was said was not heard, None where all was; without
    it nobody depends on the voice. `stop_said` gives the "stop" that was said over the tool, once.
    Within `may_stop`, which is while the run listens or speaks, a signal may end it by
    KeyboardInterrupt. `manner` is how much a new run says; `speak_as` has the voice speak
    otherwise; `checked` is how each person was heard before it, see `Started`. With `left_off`, go
    on where the record ends, with the list, the roster and the manner that it began with.

    Whatever is acknowledged aloud is on disk first; when it cannot be, that is said, then nothing
    more, and RecordNotWritten is raised. Raises RosterNeeded where there must be a roster. Any
    other error is said, put on the record, sealed, and raised; one that is a mistake of ours as
    RunFailed. A screen that is lost ends nothing.
    """
    utc = None if utc_now is None else utc_now()
    telling = Telling(record, speaker, screen, followers, may_stop, speak_as)
    parts = _Parts(task, ear, record, telling, why_unheard, stop_said, may_stop)
    if left_off is None or not left_off.is_begun:
        refuse_without_roster(task, people)
    try:
        if left_off is None or not left_off.is_begun:
            started = Started(
                confusable_phrases(task),
                tuple((variants or {}).items()),
                None if utc is None else utc.date(),
                equipment,
                people,
                record.running_time(),
                utc,
                manner,
                checked,
            )
            record.append(started)
            return parts.carry_out(*advance(task, before_start(task), started))
        taken_up = parts.take_up(left_off, utc)
        return parts.carry_out(*advance(task, left_off.state, taken_up))
    except Interrupted as interrupted:
        return parts.stopped(interrupted.state, interrupted.reason)
    except RecordNotWritten:
        telling.unsaid = ""  # nothing more is acknowledged
        telling.say(wording.failures.record_not_written())
        raise
    except HandsfreeError as error:
        parts.failed(error, str(error))
        raise
    except Exception as error:
        parts.failed(error, f"a mistake in handsfree: {_told(error)}")
        raise RunFailed(record.folder, error) from error


class RunFailed(HandsfreeError):
    """Something in handsfree is wrong; what was acknowledged is on the record."""

    def __init__(self, folder: Path, error: Exception) -> None:
        super().__init__(
            f"The run ended because of a mistake in handsfree ({_told(error)}). Nothing that was "
            f"acknowledged is lost: go on with 'handsfree run --resume {folder}', and report this."
        )


def _told(error: Exception) -> str:
    return f"{type(error).__name__}: {error}" if str(error) else type(error).__name__


@dataclass(slots=True)
class _Parts:
    task: Task
    ear: Ear
    record: Record
    telling: Telling
    why_unheard: Callable[[], str | None] | None
    stop_said: Callable[[], Utterance | None] | None
    may_stop: Interruptible
    state: State | None = None  # the last one that effects followed from

    def carry_out(self, state: State, effects: tuple[Effect, ...]) -> State:
        """Carry out `effects` and all that follows from them."""
        while True:
            self.state = state
            event: Event | None = None
            for effect, following in zip(effects, (*effects[1:], None), strict=True):
                self.telling.tell(state, effect, following)
                match effect:
                    case Listen(phrases, until):
                        # All has been said by now, so nobody waits for the seal.
                        self.record.seal()
                        heard = self.listen(phrases, until)
                        if isinstance(heard, str):
                            return self.stopped(state, heard)
                        event = heard
                    case Finish():
                        self.record.seal()
                        return state
            if event is None:
                if not state.speaking:
                    return state
                event = self.after_speaking(state)
            state, effects = advance(self.task, state, event)

    def after_speaking(self, state: State) -> Event:
        """What has become of what was said, on the record: "stop" makes it as good as unsaid."""
        why = None if self.why_unheard is None else self.why_unheard()
        stop = None if self.stop_said is None else self.stop_said()
        if stop is not None and state.phase is Phase.FINISHED:
            words = " ".join(stop.heard.words)
            problem = f"Said when the task had ended, and not acted on: {words}."
            self.telling.missed(NotHeard(stop.source, problem))
        elif stop is not None and why is None:
            return self.taken(stop)
        event = Spoken() if why is None else VoiceLost(why)
        self.record.append(event)
        return event

    def take_up(self, left_off: LeftOff, utc: datetime | None) -> TakenUp:
        """Finish what was decided before the program ended, so that nothing of it is missing.

        Gives the event that the task is taken up, which is on the record then.
        """
        self.record.tell_of_resuming(self._step(left_off.state))
        for effect in left_off.effects:
            self.telling.tell(left_off.state, effect)
        taken_up = TakenUp(self.record.running_time(), utc)
        self.record.append(taken_up)
        return taken_up

    def stopped(self, state: State, reason: str) -> State:
        """The run ends before its task, and the record tells why."""
        self.record.append(Stopped(self._step(state), reason))
        self.record.seal()
        return state

    def failed(self, error: Exception, reason: str) -> None:
        """Put it on the record that the run ends by an error, and say so if that is possible."""
        _diagnostics.debug("the run has failed", exc_info=error)
        if self.state is not None:
            self.stopped(self.state, reason)
        with suppress(Exception):  # it may be the voice itself that failed
            self.telling.speaker.say(wording.failures.run_failed().text)

    def listen(
        self, phrases: PhraseSet, until: timedelta | None
    ) -> Heard | SilenceFor | TimeCame | HearingLost | HearingReturned | str:
        """The next thing that reaches the ear, on the record; or why there is none."""
        while True:
            try:
                with self.may_stop():
                    reached = self.ear.hear(phrases, until)
            except KeyboardInterrupt as stop:
                return reason_of(stop)
            match reached:
                case None:
                    return "no more to hear"
                case SilenceFor() | TimeCame():
                    self.record.append(reached)
                    return reached
                case NotHeard():
                    self.telling.missed(reached)
                case HearingLost() | HearingReturned():
                    self.record.append(reached)
                    return reached
                case Utterance():
                    return self.taken(reached)

    def taken(self, utterance: Utterance) -> Heard:
        """Put on the record and show what was heard."""
        heard, audio = utterance.heard, utterance.audio
        clip = None if audio is None else self.record.keep_clip(audio).sha256
        self.record.append(heard, clip=clip, source=utterance.source)
        by = self.spoken_by(heard)
        self.telling.on_screen(lambda: self.telling.screen.heard(utterance, by))
        return heard

    def spoken_by(self, heard: Heard) -> Role:
        """Whose word it is by the headset; else that of whoever is asked."""
        asked = Role.TECHNICIAN if self.state is None else asked_of(self.state.waits_for)
        return role_of(heard.channel) or asked

    def _step(self, state: State) -> str:
        return self.task.steps[min(state.step, len(self.task.steps) - 1)].id
