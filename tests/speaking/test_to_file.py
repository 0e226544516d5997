import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.engine.delivery import Delivery
from handsfree.speaking.pace_and_gain import at_loudness
from handsfree.speaking.to_file import FileSpeaker, SpeechFileUnwritable


def seconds(path: Path) -> float:
    with wave.open(str(path)) as sound:
        return float(sound.getnframes() / sound.getframerate())


def test_each_utterance_makes_the_file_longer_and_leaves_it_valid(tmp_path: Path) -> None:
    path = tmp_path / "speech.wav"
    speaker = FileSpeaker(path)
    lengths_s = [seconds(path)]
    for text in ("Set the lever to park.", "Affirm."):
        speaker.say(text)
        lengths_s.append(seconds(path))
    speaker.close()
    assert lengths_s[0] == 0
    assert lengths_s[1] > 0.5
    assert lengths_s[2] > lengths_s[1] + 0.5
    assert seconds(path) == lengths_s[2]


def test_the_file_is_mono_16_bit_16_khz(tmp_path: Path) -> None:
    path = tmp_path / "speech.wav"
    FileSpeaker(path).close()
    with wave.open(str(path)) as sound:
        assert sound.getparams()[:3] == (1, 2, 16_000)


def test_every_utterance_is_followed_by_half_a_second_of_silence(tmp_path: Path) -> None:
    path = tmp_path / "speech.wav"
    speaker = FileSpeaker(path)
    speaker.say("Affirm.")
    speaker.close()
    with wave.open(str(path)) as sound:
        sound.setpos(sound.getnframes() - 8_000)
        assert not any(sound.readframes(8_000))


def test_a_blank_text_adds_nothing(tmp_path: Path) -> None:
    path = tmp_path / "speech.wav"
    speaker = FileSpeaker(path)
    speaker.say(" \n")
    speaker.close()
    assert seconds(path) == 0


def test_a_missing_folder_is_refused_with_advice(tmp_path: Path) -> None:
    path = tmp_path / "missing" / "speech.wav"
    with pytest.raises(
        SpeechFileUnwritable,
        match=r"missing/speech\.wav: speech cannot be written there \(No such file or directory\)",
    ):
        FileSpeaker(path)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_a_full_disk_is_refused() -> None:
    with pytest.raises(SpeechFileUnwritable, match="No space left on device"):
        FileSpeaker(Path("/dev/full"))


def test_closing_twice_is_safe(tmp_path: Path) -> None:
    speaker = FileSpeaker(tmp_path / "speech.wav")
    speaker.close()
    speaker.close()


def test_it_speaks_slower_and_quieter_when_told_to(tmp_path: Path) -> None:
    lengths, powers = [], []
    for delivery in (Delivery(), Delivery(pace=-2, loudness=-2)):
        path = tmp_path / "speech.wav"
        speaker = FileSpeaker(path)
        speaker.speak_as(delivery)
        speaker.say("Set the lever to park, and report lever parked.")
        speaker.close()
        samples, _ = soundfile.read(path)
        lengths.append(len(samples))
        powers.append(float(np.mean(samples**2) * len(samples)))
    assert lengths[1] > 1.1 * lengths[0]
    assert powers[1] < 0.5 * powers[0]


def test_no_peak_is_clipped_however_loud() -> None:
    samples = (20_000 * np.sin(np.arange(1000) / 9)).astype(np.int16)
    louder = at_loudness(samples, Delivery(loudness=2))
    assert np.abs(louder).max() >= 32_000
    assert np.corrcoef(samples, louder)[0, 1] > 0.9999
