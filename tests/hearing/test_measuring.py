"""What the benchmarks measure with is itself right."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.audio import SAMPLE_RATE
from tests.benchmarks.logistic import calibration_error, fit_logistic, logistic
from tests.benchmarks.speech import Clip, half, mixed, pink_noise


def test_the_split_by_speaker_is_the_agreed_one() -> None:
    """First byte of SHA-256 of "handsfree:" and the name, from `printf ... | sha256sum`."""
    assert {name: half(name) for name in ("mblw", "fjmd", "fkai")} == {
        "mblw": "tuning",
        "fjmd": "tuning",
        "fkai": "reporting",
    }


def test_every_speaker_is_on_one_side(an4: tuple[Clip, ...]) -> None:
    assert {half(clip.speaker) for clip in an4} == {"tuning"}


@pytest.mark.parametrize("snr_db", [20.0, 5.0, -3.0])
def test_noise_is_mixed_at_the_stated_ratio(snr_db: float) -> None:
    speech = np.random.default_rng(1).standard_normal(SAMPLE_RATE).astype("f4") * np.float32(0.01)
    noise = pink_noise(SAMPLE_RATE, 2)
    added = mixed(speech, noise, snr_db) - speech
    assert 10 * np.log10(np.mean(speech**2) / np.mean(added**2)) == pytest.approx(snr_db, abs=0.01)


def test_pink_noise_falls_by_three_decibels_an_octave() -> None:
    power = np.abs(np.fft.rfft(pink_noise(64 * SAMPLE_RATE, 3))) ** 2
    hertz = np.fft.rfftfreq(64 * SAMPLE_RATE, 1 / SAMPLE_RATE)
    levels = [
        10 * np.log10(np.mean(power[(hertz >= low) & (hertz < 2 * low)]))
        for low in (125, 250, 500, 1000, 2000)
    ]
    assert np.diff(levels) == pytest.approx(-3.01, abs=0.2)


def test_the_fit_finds_the_weights_that_made_the_data() -> None:
    random = np.random.default_rng(4)
    features = random.normal([1.0, -2.0], [2.0, 0.5], (40_000, 2))
    right = (random.random(40_000) < logistic(0.5 + features @ [0.8, -1.5])).astype(float)
    intercept, weights = fit_logistic(features, right, ridge=0.0)
    assert intercept == pytest.approx(0.5, abs=0.2)
    assert weights == pytest.approx([0.8, -1.5], abs=0.1)
    # At the greatest likelihood the score equations of logistic regression hold exactly.
    left = right - logistic(intercept + features @ weights)
    assert [left.sum(), *(left @ features)] == pytest.approx([0, 0, 0], abs=1e-5)


def test_a_feature_that_separates_everything_gets_a_finite_weight() -> None:
    features = np.array([[0.0], [0.0], [1.0], [1.0]])
    intercept, weights = fit_logistic(features, np.array([0.0, 0.0, 1.0, 1.0]), ridge=1.0)
    assert np.isfinite([intercept, *weights]).all()


def test_a_calibrated_probability_has_no_calibration_error() -> None:
    probability = np.repeat([0.25, 0.75], 4)
    assert calibration_error(probability, np.array([1, 0, 0, 0, 1, 1, 1, 0.0])) == 0
    assert calibration_error(np.full(4, 0.95), np.zeros(4)) == pytest.approx(0.95)


def test_the_training_splits_the_speakers_as_the_benchmarks_do() -> None:
    """`models/training` runs where handsfree is not installed, so it has the rule a second time."""
    path = Path(__file__).parents[2] / "models" / "training" / "speakers.py"
    spec = importlib.util.spec_from_file_location("speakers", path)
    assert spec is not None
    assert spec.loader is not None
    speakers = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(speakers)
    names = [f"m{number:03d}" for number in range(100)]
    assert [speakers.half(name) for name in names] == [half(name) for name in names]
