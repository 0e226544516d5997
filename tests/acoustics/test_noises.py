import numpy as np
import pytest
from scipy.signal import find_peaks, welch

from handsfree.acoustics.noise import Noise, NoiseSilent
from handsfree.acoustics.noises import LENGTH_S, NOISES, NoiseUnknown, noise_called
from handsfree.hearing.audio import Samples

RATE = 16_000


def spectrum(samples: Samples) -> tuple[np.ndarray, np.ndarray]:
    hertz, density = welch(samples.astype(np.float64), RATE, nperseg=8192, detrend=False)
    return hertz, density


def share_between(samples: Samples, low_hz: float, high_hz: float) -> float:
    hertz, density = spectrum(samples)
    inside = (hertz >= low_hz) & (hertz < high_hz)
    return float(density[inside].sum() / density.sum())


def levels_db(samples: Samples, every_s: float = 0.02) -> np.ndarray:
    frame = round(every_s * RATE)
    whole = samples[: len(samples) // frame * frame].astype(np.float64)
    return np.asarray(10 * np.log10(np.mean(whole.reshape(-1, frame) ** 2, axis=1) + 1e-12))


@pytest.mark.parametrize("name", NOISES)
def test_each_noise_has_a_power_of_1_a_length_and_a_seed(name: str) -> None:
    first, again, other = (noise_called(name, seed) for seed in (7, 7, 8))
    assert first.samples.shape == (LENGTH_S * RATE,)
    assert np.mean(first.samples.astype(np.float64) ** 2) == pytest.approx(1, rel=1e-3)
    assert np.array_equal(first.samples, again.samples)
    assert not np.allclose(first.samples, other.samples)


def test_white_noise_has_equal_power_in_each_hertz_and_pink_noise_loses_3_db_an_octave() -> None:
    def per_octave_db(name: str) -> float:
        hertz, density = spectrum(noise_called(name, 1).samples)
        inside = (hertz > 100) & (hertz < 7_000)
        slope, _ = np.polyfit(np.log2(hertz[inside]), 10 * np.log10(density[inside]), 1)
        return float(slope)

    assert per_octave_db("white") == pytest.approx(0, abs=0.1)
    assert per_octave_db("pink") == pytest.approx(-3.01, abs=0.1)


def test_ground_power_stands_on_400_hz_and_its_harmonics() -> None:
    """Aircraft ground power is 400 Hz (MIL-STD-704, ISO 6858; from memory)."""
    hertz, density = spectrum(noise_called("ground-power", 1).samples)
    for harmonic in (400, 800, 1_200):
        at = int(np.argmin(np.abs(hertz - harmonic)))
        around = np.concatenate([density[at - 12 : at - 6], density[at + 6 : at + 12]])
        assert density[at - 2 : at + 3].max() > 10 * np.median(around)


def test_a_rivet_gun_strikes_25_to_35_times_a_second_in_bursts() -> None:
    samples = noise_called("rivet-gun", 1).samples.astype(np.float64)
    loudness = np.sqrt(np.mean(samples.reshape(-1, 16) ** 2, axis=1))  # each millisecond
    strokes, _ = find_peaks(loudness, height=np.quantile(loudness, 0.85), distance=20)
    beats = 1_000 / np.diff(strokes)
    within = beats[beats > 15]  # not over a pause
    assert 25 <= np.median(within) <= 36
    by_tenth = levels_db(samples.astype(np.float32), 0.1)
    assert 0.1 < np.mean(by_tenth < by_tenth.max() - 15) < 0.7  # it rests


def test_a_drill_whines_hisses_and_rests() -> None:
    drill = noise_called("drill", 1).samples
    assert share_between(drill, 500, 8_000) > 0.7
    by_tenth = levels_db(drill, 0.1)
    assert 0.05 < np.mean(by_tenth < by_tenth.max() - 30) < 0.6


def test_air_conditioning_is_low_and_steady() -> None:
    air = noise_called("air-conditioning", 1).samples
    assert share_between(air, 0, 1_000) > 0.7
    assert np.ptp(levels_db(air, 1.0)) < 3


def test_babble_is_speech_of_many_and_a_call_comes_through_a_horn() -> None:
    assert share_between(noise_called("babble", 1).samples, 100, 4_000) > 0.9
    assert share_between(noise_called("public-address", 1).samples, 350, 4_500) > 0.9


def test_babble_is_made_of_the_speech_that_was_given() -> None:
    tone = np.sin(2 * np.pi * 1_000 * np.arange(RATE) / RATE).astype(np.float32)
    assert share_between(noise_called("babble", 1, [tone]).samples, 900, 1_100) > 0.95


def test_an_unknown_noise_is_told_with_those_that_there_are() -> None:
    with pytest.raises(NoiseUnknown, match=r"no noise 'jackhammer'\. There are: hangar, dr"):
        noise_called("jackhammer", 1)


def test_a_silent_noise_is_refused() -> None:
    with pytest.raises(NoiseSilent, match="here: is silent"):
        Noise.of("here", np.zeros(100))
