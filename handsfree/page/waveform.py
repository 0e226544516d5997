"""The picture of a sound: how loud it was over its length, as the path of an SVG."""

from itertools import pairwise

import numpy as np

from handsfree.hearing.audio import Samples

WIDTH, HEIGHT = 240, 40
"""Of the picture, in its own units: one bar each two of them."""


def waveform(samples: Samples) -> str:
    """The path of a sound; "" where there is none of it."""
    bars = WIDTH // 2
    loud = np.abs(samples)
    if len(loud) == 0:
        return ""
    edges = np.linspace(0, len(loud), bars + 1).astype(int)
    peaks = [float(loud[a : max(b, a + 1)].max(initial=0)) for a, b in pairwise(edges)]
    # By its own loudest: how loud all of it was, the sound check tells and no picture.
    largest = max(*peaks, 1e-6)
    half = HEIGHT // 2
    heights = [max(1, round(half * peak / largest)) for peak in peaks]
    return "".join(f"M{2 * at + 1} {half - h}V{half + h}" for at, h in enumerate(heights))
