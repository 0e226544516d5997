"""Two pitches at once are found, in noise too, and one pitch is never two."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.two_pitches import seconds_of_two_pitches
from tests.benchmarks.bad_input import KINDS
from tests.benchmarks.speech import Clip, audio_of, mixed, pink_noise

LONG = SAMPLE_RATE  # samples, 1 s


def voice(hertz: float, length: int = LONG) -> Samples:
    """A buzz whose harmonics fall by 6 dB an octave, as those of a voice do, at power 1."""
    time = np.arange(length) / SAMPLE_RATE
    harmonics = range(1, int(4000 / hertz))
    sound = sum(np.sin(2 * np.pi * hertz * each * time + each) / each for each in harmonics)
    return np.asarray(sound / np.std(sound), np.float32)


def test_two_voices_at_once_are_heard_for_as_long_as_both_last() -> None:
    both = voice(110) + voice(173)
    assert seconds_of_two_pitches(both) > 0.8
    one_by_one = np.concatenate([voice(110), voice(173)])
    assert seconds_of_two_pitches(one_by_one) < 0.1


@pytest.mark.parametrize("snr_db", [20, 10])
def test_noise_neither_makes_a_second_voice_nor_hides_one(snr_db: float) -> None:
    noise = pink_noise(LONG, 1)
    assert seconds_of_two_pitches(mixed(voice(110), noise, snr_db)) == 0
    assert seconds_of_two_pitches(mixed(voice(110) + voice(173), noise, snr_db)) > 0.4


@given(hertz=st.floats(80, 380))
def test_one_voice_has_one_pitch(hertz: float) -> None:
    assert seconds_of_two_pitches(voice(hertz, LONG // 2)) == 0


def test_a_voice_that_rises_has_one_pitch() -> None:
    """By an octave in a second, more quickly than in speech that is not sung."""
    phase = np.cumsum(np.geomspace(100, 200, LONG)) / SAMPLE_RATE
    rising = sum(np.sin(2 * np.pi * each * phase) / each for each in range(1, 20))
    assert seconds_of_two_pitches(np.asarray(rising, np.float32)) < 0.1


@pytest.mark.parametrize("length", [0, 1, 600, 1100])
def test_in_silence_and_in_what_is_too_short_there_are_none(length: int) -> None:
    assert seconds_of_two_pitches(np.zeros(length, np.float32)) == 0


def test_of_twenty_pairs_of_people_most_have_two_pitches_and_nobody_alone_has(
    an4: tuple[Clip, ...],
) -> None:
    clips = [clip for clip in an4 if clip.kind == "reading"][:40]
    alone = [audio_of(clip).samples for clip in clips]
    pairs = [
        KINDS["two people at once"](one, other, np.random.default_rng(1))
        for one, other in zip(alone[:20], alone[20:], strict=True)
    ]
    assert sum(seconds_of_two_pitches(each) >= 0.04 for each in alone) <= 1
    assert sum(seconds_of_two_pitches(each) >= 0.04 for each in pairs) >= 12
