"""Which speaker a run gets."""

import logging
from collections.abc import Callable
from pathlib import Path

from handsfree.speaking.aloud import AloudSpeaker, NoSoundDevice
from handsfree.speaking.playing import DevicePlayer, Player
from handsfree.speaking.silent import SilentSpeaker
from handsfree.speaking.steady import SteadySpeaker
from handsfree.speaking.to_file import FileSpeaker
from handsfree.speaking.voice import SpeechEngineFailed, Voice
from handsfree.speaking.voices import OpenVoice

_diagnostics = logging.getLogger(__name__)


def open_speaker(
    path: Path | None,
    speed: float = 1.0,
    stop: Callable[[], bool] | None = None,
    open_voice: OpenVoice = Voice,
) -> SteadySpeaker:
    """Open the file speaker for a `path`; without one speak aloud, or be silent and say why.

    A path is a wish that is kept or refused: raises SpeechFileUnwritable or SpeechEngineFailed.
    Without a path nothing is raised. A speaker that fails later is told of with one warning.
    `speed`, in times the usual one, is for speaking aloud; `stop` is asked, while speaking aloud,
    whether to be silent now. `open_voice` is from `voice_called`.
    """
    if path is not None:
        return SteadySpeaker(FileSpeaker(path, open_voice))
    try:
        return SteadySpeaker(AloudSpeaker(speed, stop, open_voice))
    except NoSoundDevice as error:
        _diagnostics.warning("%s Speech is not heard; pass --speech-file FILE to keep it.", error)
        return SteadySpeaker(SilentSpeaker(), "there is no sound device")
    except SpeechEngineFailed as error:
        _diagnostics.warning("%s Speech is not heard.", error)
        return SteadySpeaker(SilentSpeaker(), "the speech engine failed")


def open_player() -> Player | None:
    """What plays clips; None where there is nothing to hear them with, and why."""
    try:
        return DevicePlayer()
    except NoSoundDevice as error:
        _diagnostics.warning("%s Clips are not played.", error)
        return None
