"""Which speaker a run gets."""

import logging
from collections.abc import Callable
from pathlib import Path

from handsfree.speaking.aloud import AloudSpeaker, NoSoundDevice
from handsfree.speaking.silent import SilentSpeaker
from handsfree.speaking.steady import SteadySpeaker
from handsfree.speaking.to_file import FileSpeaker
from handsfree.speaking.voice import SpeechEngineFailed

_diagnostics = logging.getLogger(__name__)


def open_speaker(path: Path | None, stop: Callable[[], bool] | None = None) -> SteadySpeaker:
    """Open the file speaker for a `path`; without one speak aloud, or be silent and say why.

    A path is a wish that is kept or refused: raises SpeechFileUnwritable or SpeechEngineFailed.
    Without a path nothing is raised. A speaker that fails later is told of with one warning.
    `stop` is asked, while speaking aloud, whether to be silent now.
    """
    if path is not None:
        return SteadySpeaker(FileSpeaker(path))
    try:
        return SteadySpeaker(AloudSpeaker(stop))
    except NoSoundDevice as error:
        _diagnostics.warning("%s Speech is not heard; pass --speech-file FILE to keep it.", error)
    except SpeechEngineFailed as error:
        _diagnostics.warning("%s Speech is not heard.", error)
    return SteadySpeaker(SilentSpeaker())
