"""Stand-ins for what a live run meets: a microphone of arrays, a detector, a recognizer, clocks."""

import contextlib
from collections import deque
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

import numpy as np

from handsfree.hearing.audio import Audio, Samples
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import FRAME_SAMPLES
from handsfree.hearing.live.microphone import Block, MicrophoneLost
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

LOUD = 0.1


class LoudIsVoice:
    """A detector that takes all that is loud for speech."""

    def probability(self, frame: Samples) -> float:
        return float(np.abs(frame).max() > 0.01)


class Clock:
    """Time of day and time of the run, moved by whoever holds it."""

    def __init__(self) -> None:
        self.run = timedelta(0)
        self.asleep = timedelta(0)

    def since_start(self) -> timedelta:
        return self.run

    def utc_now(self) -> datetime:
        return datetime(2031, 5, 4, tzinfo=UTC) + self.run + self.asleep

    def sleep(self, length: timedelta) -> None:
        self.asleep += length


class EndOfSound(Exception):
    """The fake microphone has given all that it has."""


class Arrays:
    """A microphone that gives what it was told to, a frame at a time, and moves the clock."""

    name = "headset"

    def __init__(self, clock: Clock, *sound: "Block | MicrophoneLost | timedelta") -> None:
        """A timedelta is the computer asleep."""
        self.rate_hz = 16_000
        self.opened = 0
        self._clock = clock
        self._sound = deque(sound)
        self._waiting: deque[Block] = deque()  # what came while nobody read

    def add(self, *sound: "Block | MicrophoneLost | timedelta") -> None:
        self._sound.extend(sound)

    def meanwhile(self, *sound: Block) -> None:
        """This came while the tool spoke."""
        self._waiting.extend(sound)

    def open(self) -> None:
        self.opened += 1

    def close(self) -> None:
        pass

    def read(self, timeout_s: float) -> Block | None:
        if self._waiting:
            return self._waiting.popleft()
        if not timeout_s:
            return None
        if not self._sound:
            raise EndOfSound
        now = self._sound.popleft()
        match now:
            case timedelta():
                self._clock.sleep(now)
                return self.read(timeout_s)
            case MicrophoneLost():
                raise now
        self._clock.run += timedelta(seconds=len(now.samples) / self.rate_hz)
        return now


class Together(Arrays):
    """A microphone that sets the pace of another one: for each block, the other has its next."""

    def __init__(self, clock: Clock, other: Arrays, others: Iterable[Block], *sound: Block) -> None:
        super().__init__(clock, *sound)
        self._other = other
        self._others = iter(others)

    def read(self, timeout_s: float) -> Block | None:
        block = super().read(timeout_s)
        if block is not None:
            # At three times the rate, a block of as many samples is a third as long.
            for _ in range(self._other.rate_hz // self.rate_hz):
                following = next(self._others, None)
                if following is not None:
                    self._other.meanwhile(following)
        return block


def blocks(level: float, frames: int, channels: Iterable[float] = (1.0,)) -> list[Block]:
    """`frames` blocks of one frame each, as loud as `level` times the gain of each channel."""
    tone = np.asarray(level * np.sin(np.arange(FRAME_SAMPLES) / 5), np.float32)
    gains = np.array(list(channels), np.float32)
    return [Block(tone[:, None] * gains, gap=False) for _ in range(frames)]


def silence(frames: int) -> list[Block]:
    return blocks(0.0, frames)


def voice(frames: int, level: float = LOUD) -> list[Block]:
    return blocks(level, frames)


class Hears:
    """A recognizer that hears what it is told to, and notes what it was given."""

    def __init__(self, *words: str | Exception) -> None:
        self._words = deque(words)
        self.given: list[Audio] = []

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        self.given.append(audio)
        words = self._words.popleft() if len(self._words) > 1 else self._words[0]
        if isinstance(words, Exception):
            raise words
        return Heard(tuple(words.split()), 0.99, (), (), audio.started, audio.ended)


class AtOnce(EarlyRecognition):
    """Recognizes before the next sound comes, so that a test does not depend on threads."""

    def begin(self, audio: Audio, phrases: PhraseSet) -> None:
        super().begin(audio, phrases)
        assert self._begun is not None
        with contextlib.suppress(Exception):
            self._begun.result(timeout=10)
