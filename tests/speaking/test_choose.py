import logging
import os
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.speaking import SpeechEngineFailed, open_speaker

NO_PORTAUDIO = "raise OSError('PortAudio library not found')"
NO_OUTPUT = """
class PortAudioError(Exception): pass
def query_devices(kind): raise PortAudioError("Error querying device -1")
"""
ENGINE_DIES = """
import os, unittest.mock
class Engine:
    proxy = unittest.mock.Mock()
    def setProperty(self, name, value): pass
    def connect(self, topic, callback): pass
    def save_to_file(self, text, file): os._exit(9)
def init(debug): return Engine()
"""


@pytest.mark.parametrize(
    ("sounddevice", "why"),
    [
        (NO_PORTAUDIO, "PortAudio library not found (Debian, Ubuntu: apt install libportaudio2)"),
        (NO_OUTPUT, "no output found (Error querying device -1)"),
    ],
)
def test_without_a_device_there_is_one_line_and_no_crash(
    stand_in: Callable[[str, str], None], sounddevice: str, why: str
) -> None:
    stand_in("sounddevice", sounddevice)
    code = (
        "from handsfree.speaking import open_speaker\n"
        "speaker = open_speaker(None)\n"
        "for _ in range(3): speaker.say('Affirm.')\n"
        "speaker.close()\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout == ""
    assert run.stderr == (
        f"No sound device: {why}. Speech is not heard; pass --speech-file FILE to keep it.\n"
    )


def test_a_path_gets_the_speech(tmp_path: Path) -> None:
    path = tmp_path / "speech.wav"
    speaker = open_speaker(path)
    speaker.say("Two niner five zero.")
    speaker.close()
    with wave.open(str(path)) as sound:
        assert sound.getnframes() / sound.getframerate() > 0.5


def test_a_path_without_an_engine_is_refused_and_an_old_file_is_kept(
    stand_in: Callable[[str, str], None], tmp_path: Path
) -> None:
    stand_in("pyttsx3", "import os; os._exit(3)")
    path = tmp_path / "speech.wav"
    path.write_bytes(b"old")
    with pytest.raises(SpeechEngineFailed):
        open_speaker(path)
    assert path.read_bytes() == b"old"


def test_a_device_without_an_engine_gives_one_warning(
    stand_in: Callable[[str, str], None], caplog: pytest.LogCaptureFixture
) -> None:
    stand_in("sounddevice", "def query_devices(kind): return {'default_samplerate': 44100.0}")
    stand_in("pyttsx3", "import os; os._exit(3)")
    speaker = open_speaker(None)
    speaker.say("Affirm.")
    speaker.close()
    (record,) = caplog.records
    assert record.levelno == logging.WARNING
    assert record.getMessage().startswith("The speech engine failed: its process ended")
    assert record.getMessage().endswith("Speech is not heard.")


def test_an_engine_that_dies_in_a_run_is_told_of_once_and_the_run_goes_on(
    stand_in: Callable[[str, str], None], tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    stand_in("pyttsx3", ENGINE_DIES)
    speaker = open_speaker(tmp_path / "speech.wav")
    for _ in range(3):
        speaker.say("Affirm.")
    speaker.close()
    (record,) = caplog.records
    assert "its process ended with status 9" in record.getMessage()
    assert record.getMessage().endswith("From here on speech is not heard.")


def test_importing_speaking_loads_no_engine_and_no_device() -> None:
    code = (
        "import sys, handsfree.speaking\n"
        "print({'pyttsx3', 'espeakng_loader', 'sounddevice', 'soundfile', 'soxr', 'numpy'}"
        " & set(sys.modules))"
    )
    assert subprocess.check_output([sys.executable, "-c", code], text=True) == "set()\n"


def test_that_there_is_no_device_is_told_once_to_whoever_asks(
    stand_in: Callable[[str, str], None],
) -> None:
    stand_in("sounddevice", NO_PORTAUDIO)
    speaker = open_speaker(None)
    speaker.say("Warning. The door can move.")
    assert speaker.why_unheard() == "there is no sound device"
    assert speaker.why_unheard() is None
