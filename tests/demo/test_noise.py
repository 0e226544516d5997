import numpy as np
import pytest

from demo.noise import NOISE_RMS, RATE_HZ, Sound, Unmixable, hangar_noise, mix_at_snr


def speech_like(peak: float = 0.1) -> tuple[Sound, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Two tones of 0.5 s with silence around them, and where the tones are."""
    sound = np.zeros(2 * RATE_HZ, dtype=np.float32)
    active = np.zeros(len(sound), dtype=np.bool_)
    # On the borders of 20 ms frames, so that frames and tones are active together.
    active[3_840:11_840] = active[16_000:24_000] = True
    sound[active] = peak * np.sin(2 * np.pi * 440 * np.arange(active.sum()) / RATE_HZ)
    return sound, active


def level_db(sound: Sound) -> float:
    return float(10 * np.log10(np.mean(sound.astype(np.float64) ** 2)))


@pytest.mark.parametrize("snr_db", [20, 10, 0, -5])
def test_the_ratio_over_active_speech_is_the_stated_one(snr_db: int) -> None:
    speech, active = speech_like()
    noise = hangar_noise(3, np.random.default_rng(1))
    added = mix_at_snr(speech, noise, snr_db) - speech
    assert level_db(speech[active]) - level_db(added[active]) == pytest.approx(snr_db, abs=0.1)


def test_silence_around_the_speech_does_not_change_the_ratio() -> None:
    speech, active = speech_like()
    quiet = np.zeros(RATE_HZ, dtype=np.float32)
    longer = np.concatenate([quiet, speech, quiet])
    noise = hangar_noise(4, np.random.default_rng(1))
    added = (mix_at_snr(longer, noise, 10) - longer)[RATE_HZ:-RATE_HZ]
    assert level_db(speech[active]) - level_db(added[active]) == pytest.approx(10, abs=0.1)


def test_a_mixture_that_would_clip_is_made_quieter_at_the_same_ratio() -> None:
    speech, active = speech_like(peak=0.95)
    noise = hangar_noise(2, np.random.default_rng(1))
    mixture = mix_at_snr(speech, noise, 0)
    assert np.abs(mixture).max() <= 1
    (speech_gain, noise_gain), *_ = np.linalg.lstsq(np.stack([speech, noise], 1), mixture)
    assert speech_gain < 1
    ratio_db = level_db(speech_gain * speech[active]) - level_db(noise_gain * noise[active])
    assert ratio_db == pytest.approx(0, abs=0.1)


def test_a_mixture_is_as_long_as_its_speech() -> None:
    speech, _ = speech_like()
    assert mix_at_snr(speech, hangar_noise(5, np.random.default_rng(1)), 10).shape == speech.shape


def test_noise_shorter_than_the_speech_is_refused() -> None:
    speech, _ = speech_like()
    with pytest.raises(Unmixable, match=r"The noise lasts 1\.00 s and the speech 2\.00 s"):
        mix_at_snr(speech, hangar_noise(1, np.random.default_rng(1)), 10)


@pytest.mark.parametrize("length", [0, RATE_HZ])
def test_silent_speech_is_refused(length: int) -> None:
    with pytest.raises(Unmixable, match="The speech is silent"):
        mix_at_snr(np.zeros(length, np.float32), hangar_noise(1, np.random.default_rng(1)), 10)


def test_silent_noise_is_refused() -> None:
    speech, _ = speech_like()
    with pytest.raises(Unmixable, match="The noise is silent during the speech"):
        mix_at_snr(speech, np.zeros_like(speech), 10)


def test_the_same_seed_gives_the_same_noise_and_another_seed_another() -> None:
    first, again, other = (hangar_noise(2, np.random.default_rng(seed)) for seed in (7, 7, 8))
    assert np.array_equal(first, again)
    assert not np.allclose(first, other)


@pytest.mark.parametrize("seed", range(5))
def test_noise_has_the_stated_length_and_level_and_does_not_clip(seed: int) -> None:
    noise = hangar_noise(20, np.random.default_rng(seed))
    assert noise.shape == (20 * RATE_HZ,)
    assert noise.dtype == np.float32
    assert np.sqrt(np.mean(noise.astype(np.float64) ** 2)) == pytest.approx(NOISE_RMS, rel=1e-3)
    assert np.abs(noise).max() < 1


def test_noise_is_stronger_below_500_hz_than_above_4_khz() -> None:
    noise = hangar_noise(20, np.random.default_rng(1))
    power = np.abs(np.fft.rfft(noise)) ** 2
    hz = np.fft.rfftfreq(len(noise), 1 / RATE_HZ)
    assert power[hz < 500].sum() > 10 * power[hz > 4_000].sum()


def test_noise_is_uneven_in_time_from_strokes_and_bursts() -> None:
    noise = hangar_noise(60, np.random.default_rng(1))
    levels = np.sqrt(np.mean(noise.reshape(-1, RATE_HZ // 10) ** 2, axis=1))
    assert levels.max() > 2 * np.median(levels)
