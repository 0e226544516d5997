"""A headset's microphone, as the band of frequencies that it lets through."""

from dataclasses import dataclass

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples

_ORDER = 4  # 24 dB an octave at either end; common practice, no source


@dataclass(frozen=True, slots=True)
class Headset:
    """A band with its edges 3 dB down, as a Butterworth filter has them."""

    low_hz: float
    high_hz: float

    def __post_init__(self) -> None:
        if not 0 < self.low_hz < self.high_hz < SAMPLE_RATE / 2:
            raise ValueError(f"no band from {self.low_hz} to {self.high_hz} Hz at 16 kHz")


# The bands of telephony: ITU-T P.341 (wideband) and P.48 or G.712 (narrowband), from memory.
WIDEBAND = Headset(100.0, 7_000.0)
NARROWBAND = Headset(300.0, 3_400.0)


def through(sound: Samples, headset: Headset) -> Samples:
    """What the headset lets through."""
    from scipy.signal import butter, sosfilt

    edges = (headset.low_hz, headset.high_hz)
    sections = butter(_ORDER, edges, btype="bandpass", fs=SAMPLE_RATE, output="sos")
    return np.asarray(sosfilt(sections, np.asarray(sound, np.float64)), np.float32)
