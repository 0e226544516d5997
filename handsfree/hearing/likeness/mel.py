"""The mel spectrogram that the network for voices was trained on.

It is librosa's `feature.melspectrogram(sr=16000, n_fft=400, hop_length=160, n_mels=40)`: power, not
its logarithm; periodic Hann window; frames centred, with silence around; triangles on Slaney's mel
scale, each of area 1 (M. Slaney, Auditory Toolbox, Technical Report 1998-010, Interval Research).
A test compares it with values that librosa 0.11 computed.
"""

from functools import cache

import numpy as np
import numpy.typing as npt

from handsfree.hearing.audio import SAMPLE_RATE, Samples

HOP = 160  # samples, 10 ms
BANDS = 40

_WINDOW = 400  # samples, 25 ms
_LINEAR_TO = 1000.0  # Hz, and 15 mel: below, the scale is linear
_MEL_PER_HERTZ = 15 / _LINEAR_TO
_LOG_STEP = np.log(6.4) / 27  # of the scale above

Frames = npt.NDArray[np.float32]


def mel_power(samples: Samples) -> Frames:
    """(frames, 40), where frame n is centred on sample 160 n; there are len(samples) // 160 + 1."""
    around = np.pad(samples.astype(np.float64), _WINDOW // 2)
    starts = np.arange(len(samples) // HOP + 1) * HOP
    frames = around[starts[:, None] + np.arange(_WINDOW)]
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(_WINDOW) / _WINDOW)
    power = np.abs(np.fft.rfft(frames * hann, axis=1)) ** 2
    return np.asarray(power @ _triangles().T, dtype=np.float32)


@cache
def _triangles() -> npt.NDArray[np.float64]:
    """(40, 201): how much each bin of the spectrum counts in each band."""
    top = 15 + np.log(SAMPLE_RATE / 2 / _LINEAR_TO) / _LOG_STEP
    mels = np.linspace(0.0, top, BANDS + 2)
    edges = np.where(mels < 15, mels / _MEL_PER_HERTZ, _LINEAR_TO * np.exp((mels - 15) * _LOG_STEP))
    bins = np.fft.rfftfreq(_WINDOW, 1 / SAMPLE_RATE)
    lower, centre, upper = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rising = (bins - lower) / (centre - lower)
    falling = (upper - bins) / (upper - centre)
    found: npt.NDArray[np.float64] = np.maximum(0, np.minimum(rising, falling)) * (
        2 / (upper - lower)
    )
    return found
