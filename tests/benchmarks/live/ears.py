"""A live ear on a microphone made of arrays, and a task for it to listen in."""

import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta

from handsfree.engine.advance import advance, before_start
from handsfree.engine.events import Spoken, Started
from handsfree.engine.state import State
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import FRAME_MS, FRAME_SAMPLES, Rules
from handsfree.hearing.live.microphone import Block, MicrophoneLost
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.hearing.live.waits import Wait
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.running.live_ear import LiveEar
from handsfree.running.sound_in import HeadsetLine
from handsfree.task.model import Task
from handsfree.task.roles import Headset
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest

_PEOPLE = (HeadsetLine(Headset.TECHNICIAN, 0, 0),)

TASK = """\
task: live
title: Live
revision: "1"
notice: Invented.
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: command
    instruction: Say a word.
    expect: {choose: [go, start], required: start}
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: psi, resolution: 1, limits: {min: 100, max: 9000}}
  - id: cover
    instruction: Close the cover.
    expect: {confirm: cover closed}
"""


class Paced:
    """A microphone that gives its sound in real time."""

    name, rate_hz = "paced", SAMPLE_RATE

    def __init__(self, sound: Samples) -> None:
        whole = len(sound) // FRAME_SAMPLES
        self._frames = sound[: whole * FRAME_SAMPLES].reshape(whole, FRAME_SAMPLES, 1)
        self._at = 0
        self.began = time.perf_counter()

    def open(self) -> None:
        self.began = time.perf_counter()

    def close(self) -> None:
        pass

    def read(self, timeout_s: float) -> Block | None:
        wait = self.due(self._at + 1) - time.perf_counter()
        if wait > 0 and not timeout_s:
            return None
        if self._at == len(self._frames):
            raise MicrophoneLost(self.name, "the sound is over")
        if wait > 0:
            time.sleep(wait)
        self._at += 1
        return Block(self._frames[self._at - 1], gap=False)

    def due(self, frames: int) -> float:
        """When the first so many frames have been spoken."""
        return self.began + frames * FRAME_MS / 1000

    @property
    def last_due(self) -> float:
        """When the frame that was read last had been spoken."""
        return self.due(self._at)


class Once(Paced):
    """The same, once and as fast as it is read."""

    def read(self, timeout_s: float) -> Block | None:
        if not timeout_s:
            return None
        if self._at == len(self._frames):
            raise MicrophoneLost(self.name, "the sound is over")
        self._at += 1
        return Block(self._frames[self._at - 1], gap=False)


class AtOnce(EarlyRecognition):
    """Recognizes before the next sound comes: what is counted depends on no machine."""

    def begin(self, audio: Audio, phrases: PhraseSet) -> None:
        """See `EarlyRecognition.begin`."""
        super().begin(audio, phrases)
        if self._begun is not None:
            self._begun.exception()


class Unpaced(Paced):
    """The same, as fast as it is read, over and over."""

    def read(self, timeout_s: float) -> Block | None:
        if not timeout_s:
            return None
        self._at += 1
        return Block(self._frames[(self._at - 1) % len(self._frames)], gap=False)

    @property
    def spoken_s(self) -> float:
        """How much sound was read."""
        return self._at * FRAME_MS / 1000


def listening_at(task: Task, step: str) -> State:
    """The state in which the tool listens for what `step` expects."""
    state, _ = advance(task, before_start(task), Started())
    state, _ = advance(task, state, Spoken())
    number = [each.id for each in task.steps].index(step)
    return state.at_step(number)


def ear_at_once(
    microphone: Paced, recognizer: Recognizer, rules: Rules, waits: Mapping[Rest, Wait]
) -> LiveEar:
    """A live ear that hears as quickly as can be, and ends an utterance by these waits."""
    return LiveEar(
        (microphone,),
        _PEOPLE,
        AtOnce(recognizer, lambda: recognizer),
        lambda: timedelta(0),
        SleepWatch(lambda: datetime(2031, 1, 1, tzinfo=UTC), lambda: timedelta(0)),
        rules=rules,
        waits=waits,
    )


def ear_on(microphone: Paced, maybe: Callable[..., None], sleepless: bool = False) -> LiveEar:
    """A live ear with the embedded listeners."""
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=0 if sleepless else time.monotonic() - began)

    def utc_now() -> datetime:
        return datetime(2031, 1, 1, tzinfo=UTC) + since_start()

    return LiveEar(
        (microphone,),
        _PEOPLE,
        EarlyRecognition(open_recognizer(), open_recognizer, maybe),
        since_start,
        SleepWatch(utc_now, since_start),
    )
