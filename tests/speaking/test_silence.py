"""The silence around a sentence is not played."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from handsfree.speaking.silence import without_silence

RATE_HZ = 16_000


def sentence(before: int, length: int, behind: int) -> np.ndarray:
    word = np.full(length, 5000, np.int16)
    return np.concatenate([np.zeros(before, np.int16), word, np.zeros(behind, np.int16)])


@given(st.integers(0, 9000), st.integers(1, 9000), st.integers(0, 9000))
def test_every_sound_is_kept_and_hardly_any_silence(before: int, length: int, behind: int) -> None:
    kept = without_silence(sentence(before, length, behind), RATE_HZ)
    assert np.count_nonzero(kept) == length
    assert len(kept) <= length + 0.036 * RATE_HZ


def test_a_pause_within_a_sentence_is_kept() -> None:
    two = np.concatenate([sentence(0, 800, 8000), sentence(0, 800, 8000)])
    assert len(without_silence(two, RATE_HZ)) >= 800 + 8000 + 800


def test_what_cannot_be_heard_is_left_as_it_is() -> None:
    for quiet in (np.zeros(500, np.int16), np.full(500, 50, np.int16), np.zeros(0, np.int16)):
        assert without_silence(quiet, RATE_HZ) is quiet


def test_the_loudest_negative_sample_is_a_sound() -> None:
    """-32,768 has no positive counterpart of 16 bits."""
    assert len(without_silence(np.full(10, -32_768, np.int16), RATE_HZ)) == 10
