"""The only place where the parts meet: an ear, the engine, the record, a voice and a screen."""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Effect, Finish, Listen, Say, Write
from handsfree.engine.entries import Entry
from handsfree.engine.events import Event, HearingLost, HearingReturned, Spoken, Started
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record import Record
from handsfree.rehearse import confusable_phrases
from handsfree.speaking import Speaker
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet


@dataclass(frozen=True, slots=True)
class Utterance:
    """One thing that reached the ear."""

    heard: Heard
    audio: Audio | None  # None: it was typed
    source: str  # such as the name of the clip


@dataclass(frozen=True, slots=True)
class NotHeard:
    """Something should have reached the ear but could not be taken."""

    source: str
    problem: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """The run ended before the task did."""

    step: str
    reason: str


Reached = Utterance | NotHeard | HearingLost | HearingReturned | None


class Ear(Protocol):
    """Where utterances come from."""

    def hear(self, phrases: PhraseSet) -> Reached:
        """Wait for the next utterance; None means that no more will come."""


class Screen(Protocol):
    """Where a person can follow the run."""

    def said(self, say: Say) -> None:
        """The tool is about to say this."""

    def heard(self, utterance: Utterance) -> None:
        """This was heard."""

    def not_heard(self, missed: NotHeard) -> None:
        """This could not be taken."""

    def decided(self, entry: Entry) -> None:
        """The engine decided this, and it is on the record."""


class Board(Protocol):
    """Where a person can see how things stand now. It must return at once, and never raise."""

    def follows(self, state: State, effect: Effect) -> None:
        """`effect` begins, and the run stands at `state`; what is written or said is on record."""

    def not_heard(self, missed: NotHeard) -> None:
        """This could not be taken."""


def run(
    task: Task,
    ear: Ear,
    record: Record,
    speaker: Speaker,
    screen: Screen,
    boards: Sequence[Board] = (),
) -> State:
    """Hold the conversation until the task or the ear ends; the last state tells which.

    Whatever is acknowledged aloud is on disk first. Raises RecordNotWritten when it cannot be.
    """
    state = before_start(task)
    events: deque[Event] = deque([Started(confusable=confusable_phrases(task))])
    while events:
        event = events.popleft()
        state, effects = advance(task, state, event)
        for effect in effects:
            if isinstance(effect, Write | Say):
                record.append(effect.entry if isinstance(effect, Write) else effect)
            for board in boards:
                board.follows(state, effect)
            match effect:
                case Write(entry):
                    screen.decided(entry)
                case Say():
                    screen.said(effect)
                    speaker.say(effect.text)
                case Listen(phrases):
                    step = task.steps[state.step].id
                    try:
                        heard = _listen(phrases, ear, record, screen, boards)
                    except KeyboardInterrupt:
                        record.append(Stopped(step, "interrupted"))
                        return state
                    if heard is None:
                        record.append(Stopped(step, "no more to hear"))
                        return state
                    events.append(heard)
                case Finish():
                    return state
        if state.speaking:
            events.append(Spoken())
    return state


def _listen(
    phrases: PhraseSet, ear: Ear, record: Record, screen: Screen, boards: Sequence[Board]
) -> Event | None:
    while True:
        reached = ear.hear(phrases)
        match reached:
            case None:
                return None
            case NotHeard():
                # Nothing is lost without a trace: the record tells that there was something.
                record.append(reached)
                screen.not_heard(reached)
                for board in boards:
                    board.not_heard(reached)
            case HearingLost() | HearingReturned():
                record.append(reached)
                return reached
            case Utterance(heard, audio, source):
                clip = None if audio is None else record.keep_clip(audio).sha256
                record.append(heard, clip=clip, source=source)
                screen.heard(reached)
                return heard
