"""The picture of a sound shows where it is loud."""

import re
from itertools import pairwise

import numpy as np

from handsfree.page.waveform import HEIGHT, WIDTH, waveform


def heights(samples: list[float]) -> list[int]:
    path = waveform(np.array(samples, np.float32))
    bars = [list(map(int, each)) for each in re.findall(r"M(\d+) (\d+)V(\d+)", path)]
    assert all(one[0] + 2 == other[0] for one, other in pairwise(bars))
    assert max(bar[0] for bar in bars) < WIDTH
    return [bottom - top for _, top, bottom in bars]


def test_it_grows_with_the_sound() -> None:
    found = heights([0.5 * at / 16_000 for at in range(16_000)])
    assert found == sorted(found)
    assert (found[0], found[-1]) == (2, HEIGHT)


def test_silence_is_a_line() -> None:
    assert set(heights([0.0] * 16_000)) == {2}


def test_a_sound_shorter_than_its_picture_is_shown_too() -> None:
    assert max(heights([0.1] * 7)) == HEIGHT


def test_no_sound_has_no_picture() -> None:
    assert waveform(np.zeros(0, np.float32)) == ""
