"""Sound that no word explains is counted in seconds, whatever its level."""

import numpy as np
import pytest

from handsfree.hearing.audio import Samples
from handsfree.hearing.ctc import Floats
from handsfree.hearing.unexplained import unexplained_s

RATE = 16_000
TONE = np.sin(2 * np.pi * 200 * np.arange(RATE) / RATE).astype(np.float32)


def with_words(*words: tuple[float, float, float], seconds: float = 3.0) -> Samples:
    """Soft noise, and in it tones that stand for words: (begin, end, amplitude)."""
    sound = np.random.default_rng(1).normal(0, 1e-3, round(seconds * RATE)).astype(np.float32)
    for begin, end, amplitude in words:
        length = round((end - begin) * RATE)
        sound[round(begin * RATE) :][:length] += np.float32(amplitude) * TONE[:length]
    return sound


def letters_at(*seconds: float, frames: int = 165) -> Floats:
    """A reader that is sure of a letter at these times, and of silence elsewhere."""
    log_probs = np.full((frames, 3), -20.0)
    log_probs[:, 0] = 0.0
    for each in seconds:
        log_probs[round(each / 0.02)] = (-20.0, 0.0, -20.0)
    return log_probs


def test_words_that_were_heard_leave_nothing() -> None:
    sound = with_words((0.5, 0.9, 0.3), (1.6, 2.0, 0.3))
    assert unexplained_s(sound, letters_at(0.6, 0.8, 1.7, 1.9)) == 0


@pytest.mark.parametrize("soft", [0.3, 0.08], ids=["as loud", "11 dB softer"])
@pytest.mark.parametrize("volume", [1.0, 0.05], ids=["near", "far"])
def test_a_word_that_was_not_heard_is_counted(soft: float, volume: float) -> None:
    sound = with_words((0.5, 0.9, 0.3), (1.6, 2.0, soft)) * np.float32(volume)
    assert unexplained_s(sound, letters_at(0.6, 0.8)) == pytest.approx(0.4, abs=0.1)


def test_a_breath_far_softer_than_the_words_is_none() -> None:
    sound = with_words((0.5, 0.9, 0.3), (1.6, 2.0, 0.01))
    assert unexplained_s(sound, letters_at(0.6, 0.8)) == 0


def test_steady_noise_is_no_word() -> None:
    noise = np.random.default_rng(2).normal(0, 0.05, 3 * RATE).astype(np.float32)
    sound = with_words((0.5, 0.9, 0.3)) + noise
    assert unexplained_s(sound, letters_at(0.6, 0.8)) <= 0.1


def test_where_nothing_was_heard_there_is_nothing_to_doubt() -> None:
    assert unexplained_s(with_words((0.5, 0.9, 0.3)), letters_at()) == 0


def test_a_sound_shorter_than_a_frame_is_none() -> None:
    assert unexplained_s(np.zeros(10, np.float32), letters_at(0.6)) == 0
