"""What is mixed at a stated ratio is measured again, with scipy's estimate of a spectrum."""

import numpy as np
import pytest
from scipy.signal import welch

from handsfree.acoustics.headset import NARROWBAND, WIDEBAND, Headset, through
from handsfree.acoustics.level import SpeechSilent, speech_level
from handsfree.acoustics.mixing import Surroundings, heard_in, mixed
from handsfree.acoustics.noise import Noise
from handsfree.acoustics.noises import noise_called
from handsfree.hearing.audio import Samples

RATE = 16_000
RNG = np.random.default_rng


def speech_like(seconds: float = 30.0, level: float = 0.05) -> Samples:
    """Syllables of noise with pauses: half a second on, half a second off, silence at the end."""
    time_s = np.arange(round(seconds * RATE)) / RATE
    gate = (time_s % 1 < 0.5) & (time_s < seconds - 1)
    return (level * RNG(5).standard_normal(len(time_s)) * gate).astype(np.float32)


def power_by_scipy(sound: Samples) -> float:
    hertz, density = welch(sound.astype(np.float64), RATE, nperseg=4096, detrend=False)
    return float(np.trapezoid(density, hertz))


@pytest.mark.parametrize("snr_db", [20, 10, 0, -5])
@pytest.mark.parametrize("name", ["pink", "ground-power", "rivet-gun"])
def test_the_ratio_is_the_stated_one(name: str, snr_db: int) -> None:
    speech = speech_like()
    noise = noise_called(name, seed=3)
    mixture = mixed(speech, noise, snr_db, RNG(1))
    # What made it quieter, where it would have clipped, made both quieter.
    scale = np.linalg.lstsq(
        np.stack([speech, noise.stretch(len(speech), RNG(1))], 1), mixture, rcond=None
    )[0][0]
    added = mixture / scale - speech
    measured = speech_level(speech).active_db - 10 * np.log10(power_by_scipy(added))
    assert measured == pytest.approx(snr_db, abs=0.15)


def test_a_pause_at_the_end_of_a_recording_changes_no_ratio() -> None:
    speech = speech_like(3.0)
    longer = np.concatenate([speech, np.zeros(2 * RATE, np.float32)])
    white = noise_called("white", 1)
    close, behind = (mixed(each, white, 10, RNG(1))[: len(speech)] for each in (speech, longer))
    assert close == pytest.approx(behind, abs=1e-5)


def test_a_mixture_is_as_long_as_its_speech_and_within_full_scale() -> None:
    speech = speech_like(2.0, level=0.5)
    sound = heard_in(speech, Surroundings(noise_called("drill", 1), snr_db=-5), seed=1)
    assert sound.shape == speech.shape
    assert sound.dtype == np.float32
    assert np.abs(sound).max() <= 0.99


def test_equal_seeds_give_equal_sound_and_others_another() -> None:
    speech, place = speech_like(2.0), Surroundings(noise_called("hangar", 1), snr_db=10)
    first, again, other = (heard_in(speech, place, seed) for seed in (7, 7, 8))
    assert np.array_equal(first, again)
    assert not np.allclose(first, other, atol=1e-3)


def test_nothing_around_leaves_the_speech_as_it_is() -> None:
    speech = speech_like(2.0)
    bare = Surroundings(noise=None, snr_db=0, room=None, headset=None)
    assert np.array_equal(heard_in(speech, bare, seed=1), speech)


def test_silence_is_not_mixed() -> None:
    with pytest.raises(SpeechSilent):
        mixed(np.zeros(RATE, np.float32), noise_called("pink", 1), 10, RNG(1))


def test_a_stretch_goes_on_at_the_beginning_of_the_noise() -> None:
    noise = Noise.of("steps", np.arange(1, 11, dtype=np.float64))
    stretch = noise.stretch(25, RNG(1))
    assert np.array_equal(stretch[:15], stretch[10:])
    assert set(stretch.tolist()) == set(noise.samples.tolist())


@pytest.mark.parametrize("headset", [WIDEBAND, NARROWBAND])
def test_a_headset_is_3_db_down_at_its_edges_and_closed_beyond(headset: Headset) -> None:
    def gain_db(hertz: float) -> float:
        tone = np.sin(2 * np.pi * hertz * np.arange(2 * RATE) / RATE).astype(np.float32)
        return float(10 * np.log10(power_by_scipy(through(tone, headset)[RATE:]) / 0.5))

    assert gain_db(headset.low_hz) == pytest.approx(-3, abs=0.2)
    assert gain_db(headset.high_hz) == pytest.approx(-3, abs=0.2)
    assert gain_db(1_000) == pytest.approx(0, abs=0.1)
    assert gain_db(headset.low_hz / 2) < -20
    assert gain_db(min(2 * headset.high_hz, 7_900)) < -20


@pytest.mark.parametrize(("low", "high"), [(0, 1_000), (300, 300), (300, 8_000)])
def test_no_headset_has_such_a_band(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="no band from"):
        Headset(low, high)
