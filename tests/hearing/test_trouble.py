"""Sound that is broken is told by the sound alone, and sound that is not is left alone."""

import numpy as np
import pytest

from handsfree.hearing.audio import Samples
from handsfree.hearing.trouble import trouble_of
from handsfree.words.heard import Trouble
from tests.benchmarks.speech import Clip, audio_of

RATE = 16_000


def voice(seconds: float = 2.0, amplitude: float = 0.5) -> Samples:
    """Harmonics of 120 Hz that come and go as syllables do, and a little noise."""
    time = np.arange(round(seconds * RATE)) / RATE
    tone = sum(np.sin(2 * np.pi * 120 * number * time) / number for number in range(1, 12))
    syllables = 0.55 + 0.45 * np.sin(2 * np.pi * 3 * time)
    noise = np.random.default_rng(1).normal(0, 0.002, len(time))
    sound = tone * syllables / np.abs(tone * syllables).max() + noise
    return np.asarray(amplitude * sound, np.float32)


@pytest.mark.parametrize("amplitude", [0.01, 0.5, 0.99])
def test_a_voice_at_any_level_has_no_trouble(amplitude: float) -> None:
    assert trouble_of(voice(amplitude=amplitude)) is None


def test_silence_and_no_sound_have_none() -> None:
    assert trouble_of(np.zeros(RATE, np.float32)) is None
    assert trouble_of(np.zeros(0, np.float32)) is None


@pytest.mark.parametrize("full_scale", [1.0, 0.2], ids=["at full scale", "turned down behind"])
def test_peaks_that_are_cut_off_are_too_loud(full_scale: float) -> None:
    clipped = np.clip(voice() * 4, -1, 1) * np.float32(full_scale)
    assert trouble_of(clipped) is Trouble.TOO_LOUD


def test_one_bang_at_the_limit_is_not_too_loud() -> None:
    sound = voice(amplitude=0.3)
    sound[5_000:5_004] = 1.0
    assert trouble_of(sound) is None


def test_a_tenth_of_the_samples_missing_is_broken_up() -> None:
    sound = voice()
    sound[np.random.default_rng(2).random(len(sound)) < 0.1] = 0
    assert trouble_of(sound) is Trouble.BROKEN_UP


def test_a_tenth_of_the_packets_missing_is_broken_up() -> None:
    sound = voice()
    for packet in range(5, 100, 10):
        sound[packet * 320 :][:320] = 0
    assert trouble_of(sound) is Trouble.BROKEN_UP


def test_silence_between_words_is_no_hole() -> None:
    pause = np.zeros(RATE // 4, np.float32)
    assert trouble_of(np.concatenate([voice(0.4), pause, voice(0.4), pause, voice(0.4)])) is None


def test_recorded_people_have_no_trouble(an4: tuple[Clip, ...]) -> None:
    assert {trouble_of(audio_of(clip).samples) for clip in an4[::8]} == {None}
