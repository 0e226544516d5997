"""What the hearing tests share: loaded listeners, and recorded speech where there is any."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.hearing.opening import open_reader, open_recognizer
from handsfree.hearing.reader import Reader
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.transcriber import Transcriber
from handsfree.speaking.voice import Voice
from tests.benchmarks.speech import Clip, an4_clips, speech_folder
from tests.speech_data import SpeechUnavailable, pocketsphinx_data


@pytest.fixture(scope="session")
def transcriber() -> Transcriber:
    return Transcriber()


@pytest.fixture(scope="session")
def reader() -> Reader:
    return open_reader()


@pytest.fixture(scope="session")
def recognizer() -> Recognizer:
    return open_recognizer()


@pytest.fixture(scope="session")
def voice() -> Iterator[Voice]:
    voice = Voice(SAMPLE_RATE)
    yield voice
    voice.close()


@pytest.fixture(scope="session")
def outside_speech() -> Path:
    """Recordings from another project, or a skip that says why there are none."""
    try:
        return pocketsphinx_data()
    except SpeechUnavailable as error:
        pytest.skip(f"no recordings from outside: {error}")


@pytest.fixture(scope="session")
def an4() -> tuple[Clip, ...]:
    """The tuning half of AN4, or a skip that says where it was looked for."""
    try:
        clips = an4_clips("reading", "spelled", "command", "other")
    except FileNotFoundError:
        pytest.skip(
            f"no AN4 recordings in {speech_folder()}; HANDSFREE_SPEECH names another folder"
        )
    return tuple(clip for clip in clips if clip.half == "tuning")
