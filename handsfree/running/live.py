"""A live run's parts, opened in the order in which they need each other."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from handsfree.engine.delivery import Delivery
from handsfree.errors import Misuse
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.microphone import DeviceMicrophone, Microphone, numbered
from handsfree.hearing.live.own_voice import OwnVoice
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.log import Stopwatch, UtcClock
from handsfree.running.barge_in import Interruption
from handsfree.running.half_duplex import HalfDuplex
from handsfree.running.live_ear import LiveEar
from handsfree.running.parts import Follower, Utterance
from handsfree.running.sound_in import HeadsetLine
from handsfree.running.typed_lines import TypedLines
from handsfree.running.voice_ahead import Foresight
from handsfree.speaking import Speaker, open_speaker
from handsfree.speaking.voices import OpenVoice
from handsfree.task.model import Task
from handsfree.task.roles import Headset


@dataclass(frozen=True, slots=True)
class Headsets:
    """Who is heard through what."""

    device: str | None  # by name or number; None: the default one
    second_device: str | None = None  # of the second person, who has none otherwise
    second_channel: int | None = None  # or the channel of the first device, from 1
    inspector_device: str | None = None  # of the inspector, who has none otherwise
    voice_stops_speech: bool = False  # and the tool's own voice does not reach the microphones

    def microphones(self) -> tuple[DeviceMicrophone, ...]:
        """The devices, not opened yet; raises NoMicrophone, or Misuse where two are the same."""
        further = [
            numbered(each)
            for each in (self.second_device, self.inspector_device)
            if each is not None
        ]
        devices = [numbered(self.device), *further]
        if len(set(devices)) < len(devices):
            raise Misuse(
                "run: a microphone is named for two people. Name another one for each, or the "
                "second person's channel of it with --second-channel."
            )
        first = DeviceMicrophone(devices[0], self.second_channel or 1)
        return (first, *map(DeviceMicrophone, further))

    def lines(self) -> tuple[HeadsetLine, ...]:
        """Where the sound of each headset comes in."""
        lines = [HeadsetLine(Headset.TECHNICIAN, microphone=0, channel=0)]
        microphones = 1
        if self.second_channel is not None:
            at = self.second_channel - 1
            lines.append(HeadsetLine(Headset.SECOND_PERSON, microphone=0, channel=at))
        elif self.second_device is not None:
            lines.append(HeadsetLine(Headset.SECOND_PERSON, microphone=microphones, channel=0))
            microphones += 1
        if self.inspector_device is not None:
            lines.append(HeadsetLine(Headset.INSPECTOR, microphone=microphones, channel=0))
        return tuple(lines)

    def can_inspect(self) -> bool:
        """Whether an inspector can be heard: by a headset of their own, or by the only one."""
        return self.inspector_device is not None or len(self.lines()) == 1


@dataclass(frozen=True, slots=True)
class Live:
    """The parts of a live run."""

    ear: LiveEar
    speaker: Speaker
    followers: tuple[Follower, ...]
    why_unheard: Callable[[], str | None]  # see `SteadySpeaker.why_unheard`
    stop_said: Callable[[], Utterance | None]  # see `LiveEar.stop_said`
    speak_as: Callable[[Delivery], None]  # see `SteadySpeaker.speak_as`


@contextmanager
def live_parts(
    task: Task,
    microphones: Sequence[Microphone],
    headsets: Headsets,
    recognizer: Recognizer,
    speech_file: Path | None,
    open_voice: OpenVoice,
    utc_now: UtcClock,
    since_start: Stopwatch,
    keyboard: TextIO | None = None,
) -> Iterator[Live]:
    """Open voice and microphones, those of `headsets`; close them at the end.

    What is typed at `keyboard` is taken too.

    Raises MicrophoneLost and the errors of `open_speaker`.
    """
    interruption = Interruption(task)
    with ExitStack() as opened:
        speaker = open_speaker(speech_file, stop=interruption.wanted, open_voice=open_voice)
        opened.callback(speaker.close)
        foresight = Foresight(task, speaker.expect, speaker.hurry)
        recognition = EarlyRecognition(recognizer, open_recognizer, foresight.maybe)
        ear = LiveEar(
            microphones,
            headsets.lines(),
            recognition,
            since_start,
            SleepWatch(utc_now, since_start),
            typed=None if keyboard is None else TypedLines(keyboard, since_start),
            own_voice=OwnVoice(is_kept_out=headsets.voice_stops_speech),
        )
        opened.callback(ear.close)
        any_voice = ear.voice_now if headsets.voice_stops_speech else _no_voice
        interruption.listens_with(any_voice, ear.told_to_stop)
        voice = HalfDuplex(speaker, ear.tool_speaks)
        boards = (foresight, interruption)
        yield Live(ear, voice, boards, speaker.why_unheard, ear.stop_said, speaker.speak_as)


def _no_voice() -> bool:
    return False
