"""A sound that is drawn and a little like speech: a voice that glides, with noise and pauses."""

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples


def drawn(seconds: float, hertz: float = 120.0) -> Samples:
    """Equal arguments give equal sound."""
    draw = np.random.default_rng(7)
    time = np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    phase = 2 * np.pi * np.cumsum(hertz * (1 + 0.2 * np.sin(2 * np.pi * 1.3 * time))) / SAMPLE_RATE
    voiced = sum(np.sin(k * phase) / k for k in range(1, 25)) * (
        np.sin(2 * np.pi * 2 * time) > -0.4
    )
    return np.asarray(0.02 * voiced + 0.002 * draw.standard_normal(len(time)), dtype=np.float32)
