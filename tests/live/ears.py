"""A live ear on a microphone of arrays."""

from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.own_voice import OwnVoice
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.running.live_ear import LiveEar
from handsfree.running.sound_in import HeadsetLine
from handsfree.task.roles import Headset
from tests.live.fakes import Arrays, Clock, LoudIsVoice

TECHNICIAN = (HeadsetLine(Headset.TECHNICIAN, 0, 0),)
BOTH = (*TECHNICIAN, HeadsetLine(Headset.SECOND_PERSON, 0, 1))


def ear_on(
    microphone: Arrays,
    clock: Clock,
    recognition: EarlyRecognition,
    lines: tuple[HeadsetLine, ...] = TECHNICIAN,
    *,
    own_voice_kept_out: bool = False,
) -> LiveEar:
    return LiveEar(
        (microphone,),
        lines,
        recognition,
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
        own_voice=OwnVoice(is_kept_out=own_voice_kept_out),
    )
