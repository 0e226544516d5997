"""The active speech level, against the published speech voltmeter of ITU-T (G.191, `sv-p56.c`).

Its figures for the tones here were got by running that program's steps on them.
"""

from itertools import pairwise

import numpy as np
import pytest

from handsfree.acoustics.level import SpeechSilent, speech_level
from handsfree.acoustics.waves import Wave
from handsfree.hearing.clips import read_clip
from tests.benchmarks.speech import an4_clips, speech_folder

TIME_S = np.arange(160_000) / 16_000
TONE = np.sin(2 * np.pi * 1_000 * TIME_S)


def test_a_tone_without_pauses_has_the_level_of_its_power() -> None:
    level = speech_level(TONE * np.sqrt(2) * 10 ** (-26 / 20))
    assert level.long_term_db == pytest.approx(-26, abs=1e-6)
    assert level.active_db == pytest.approx(-25.990, abs=0.02)
    assert level.activity == pytest.approx(0.99774, abs=0.001)


@pytest.mark.parametrize(
    ("every_s", "long_term_db", "activity"), [(2, -20.0, 0.6403), (5, -23.979, 0.2561)]
)
def test_pauses_lower_the_long_term_level_and_not_the_active_one(
    every_s: int, long_term_db: float, activity: float
) -> None:
    level = speech_level(0.2 * TONE * (TIME_S % every_s < 1))
    assert level.long_term_db == pytest.approx(long_term_db, abs=0.001)
    assert level.active_db == pytest.approx(-18.064, abs=0.02)
    assert level.activity == pytest.approx(activity, abs=0.003)


@pytest.mark.parametrize("quieter_db", [20, 40, 60])
def test_a_quieter_recording_is_quieter_by_as_much(quieter_db: int) -> None:
    sound = 0.2 * TONE * (TIME_S % 2 < 1)
    quiet = speech_level(sound * 10 ** (-quieter_db / 20))
    # The thresholds are 6 dB apart, and between two of them the level is drawn by a straight line.
    assert speech_level(sound).active_db - quiet.active_db == pytest.approx(quieter_db, abs=0.1)


@pytest.mark.parametrize("sound", [np.zeros(16_000), np.zeros(0), np.full(16_000, 1e-12)])
def test_silence_has_no_level(sound: Wave) -> None:
    with pytest.raises(SpeechSilent, match="There is no speech in it: its level cannot be told"):
        speech_level(sound)


def sample_by_sample(speech: Wave, rate_hz: int = 16_000) -> float:
    """The steps of the voltmeter in their own order, with its 15 thresholds, to compare with."""
    keep = np.exp(-1 / (rate_hz * 0.03))
    hangover = int(np.floor(0.2 * rate_hz + 0.5))
    thresholds = [2.0**-power for power in range(15, 0, -1)]
    active, since = [0] * 15, [hangover] * 15
    squares = once = twice = 0.0
    for each in speech:
        squares += each * each
        once = keep * once + (1 - keep) * abs(each)
        twice = keep * twice + (1 - keep) * once
        for at, threshold in enumerate(thresholds):
            if twice >= threshold:
                active[at] += 1
                since[at] = 0
            elif since[at] < hangover:
                active[at] += 1
                since[at] += 1
    points = [
        (10 * np.log10(squares / count), 20 * np.log10(threshold))
        for count, threshold in zip(active, thresholds, strict=True)
        if count
    ]
    for (level, threshold_db), (above, above_db) in pairwise(points):
        if above - above_db <= 15.9 < level - threshold_db:
            share = (level - threshold_db - 15.9) / ((level - threshold_db) - (above - above_db))
            return float(level + share * (above - level))
    raise AssertionError("no crossing")


@pytest.mark.parametrize("seed", range(3))
def test_it_agrees_with_the_voltmeter_done_sample_by_sample(seed: int) -> None:
    rng = np.random.default_rng(seed)
    loudness = np.repeat(rng.uniform(0, 1, 40) ** 3, 800)
    speech = rng.standard_normal(32_000) * loudness * 0.1
    assert speech_level(speech).active_db == pytest.approx(sample_by_sample(speech), abs=1e-6)


def test_people_who_read_numbers_are_active_for_most_of_their_recording() -> None:
    try:
        clips = an4_clips("reading")[::50]
    except FileNotFoundError:
        pytest.skip(f"no AN4 recordings in {speech_folder()}")
    for clip in clips:
        level = speech_level(read_clip(clip.path).samples)
        assert level.long_term_db <= level.active_db < level.long_term_db + 6
        assert 0.25 < level.activity <= 1
