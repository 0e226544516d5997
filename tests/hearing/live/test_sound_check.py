"""The figures of a sound check, and what to do about each."""

import numpy as np
import pytest

from handsfree.hearing.live.sound_check import SoundMeasured, advice, measure, readability

GOOD = SoundMeasured(level_dbfs=-20, floor_dbfs=-60, clipped=0)
RNG = np.random.default_rng(5)


def sine(level_dbfs: float, seconds: float = 1.0) -> np.ndarray:
    amplitude = 10 ** (level_dbfs / 20)
    wave = amplitude * np.sin(np.arange(round(seconds * 16_000)) / 3)
    return np.asarray(wave, np.float32)


def noise(level_dbfs: float, seconds: float = 1.0) -> np.ndarray:
    rms = 10 ** (level_dbfs / 20) / np.sqrt(2)  # a full-scale sine, 0 dB FS, has this RMS
    return np.asarray(rms * RNG.standard_normal(round(seconds * 16_000)), np.float32)


def test_level_floor_and_signal_to_noise_are_what_was_put_in() -> None:
    quiet, voice = noise(-50), sine(-20) + noise(-50)
    found = measure(quiet, voice)
    assert found.level_dbfs == pytest.approx(-20, abs=0.2)
    assert found.floor_dbfs == pytest.approx(-50, abs=0.3)
    assert found.snr_db == pytest.approx(30, abs=0.5)
    assert found.clipped == 0


def test_at_0_db_the_noise_in_the_voice_is_taken_out_of_the_ratio() -> None:
    found = measure(noise(-30, 4), sine(-30, 4) + noise(-30, 4))
    assert found.snr_db == pytest.approx(0, abs=0.5)


def test_pauses_do_not_lower_the_level() -> None:
    voice = np.concatenate([np.zeros(16_000, np.float32), sine(-20), np.zeros(16_000, np.float32)])
    assert measure(noise(-60), voice).level_dbfs == pytest.approx(-20, abs=0.3)


def test_a_sine_that_is_driven_too_far_is_clipped() -> None:
    found = measure(noise(-60), np.clip(2 * sine(0), -1, 1))
    assert found.clipped > 1_000
    assert "turn the input level down" in advice(found)[0]


def test_a_single_peak_is_not_clipping() -> None:
    voice = sine(-20)
    voice[100] = 1.0
    assert measure(noise(-60), voice).clipped == 0


def test_a_good_microphone_needs_no_advice() -> None:
    assert advice(GOOD) == ()


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        (SoundMeasured(-45, -80, 0), "The voice is quiet: move the microphone nearer"),
        (SoundMeasured(-3, -60, 0), "The voice is very loud: turn the input level down."),
        (SoundMeasured(-20, -20, 0), "The noise drowns the voice: use a headset"),
        (SoundMeasured(-20, -35, 0), "There is much noise: move the microphone nearer"),
        (
            SoundMeasured(-10, -38, 0),
            "The noise at the microphone is loud: turn off its automatic gain",
        ),
    ],
)
def test_each_fault_has_its_advice(measured: SoundMeasured, words: str) -> None:
    assert [each for each in advice(measured) if each.startswith(words)]


@pytest.mark.parametrize(
    ("heard_it", "score", "measured", "scale"),
    [
        (True, 0.99, GOOD, 5),
        (True, 0.99, SoundMeasured(-20, -35, 0), 4),
        (True, 0.5, GOOD, 3),
        (False, 0.99, GOOD, 2),
        (False, 0.0, SoundMeasured(-60, -40, 0), 1),
    ],
)
def test_readability_is_on_the_scale_of_annex_10(
    heard_it: bool, score: float, measured: SoundMeasured, scale: int
) -> None:
    """ICAO Annex 10 Vol II, 5.2.1.8.4 has five grades; which figures make which is ours."""
    assert readability(heard_it, score, measured) == scale
