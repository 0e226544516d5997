"""A voice as a direction in 256 dimensions: near to another of the same person, far from others'.

The network is Resemblyzer's (models/voices/README.md), and what is done around it is what
Resemblyzer 0.1.4 does in `VoiceEncoder.embed_utterance`, but for its voice activity detection: a
clip of a record begins and ends with what was said already.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.likeness.mel import BANDS, HOP, mel_power
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable, network_in, shapes_of

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

MODEL = "voices"

_FILE = "voices.onnx"
_WINDOW_FRAMES = 160  # 1.6 s, what the network was trained on
_STEP_FRAMES = 77  # 1.3 windows a second
_LEAST_COVERED = 0.75  # of the last window, else it is left out
_LOUDNESS_DBFS = -30.0  # what is softer is made as loud as this

Voice: TypeAlias = npt.NDArray[np.float32]  # (256,), of length 1


class VoiceNetwork:
    """The network, opened."""

    def __init__(self) -> None:
        """Raises CatalogueMissing, ModelMissing, ModelAltered or NetworkUnusable."""
        content = read_catalogue().entry(MODEL).verified_files()[_FILE]
        self._network: InferenceSession = network_in(content, MODEL, _FILE, threads=2)
        wanted = {"mel": ["windows", "frames", BANDS], "voice": ["windows", 256]}
        if shapes_of(self._network) != wanted:
            raise NetworkUnusable(MODEL, f"{_FILE} has other shapes than {wanted}")

    def voice_in(self, samples: Samples) -> Voice:
        """The voice of one utterance, mono at 16 kHz."""
        windows = _windows(_loud_enough(samples))
        found = self._network.run(["voice"], {"mel": windows})[0]
        return mean_of(list(found))


def mean_of(voices: Sequence[Voice]) -> Voice:
    """The voice that several have in common, of length 1; there is at least one."""
    mean = np.mean(np.stack(voices), axis=0)
    return np.asarray(mean / max(float(np.linalg.norm(mean)), 1e-9), dtype=np.float32)


def _loud_enough(samples: Samples) -> Samples:
    power = float(np.mean(samples.astype(np.float64) ** 2)) if len(samples) else 0.0
    if power == 0.0:
        return samples
    missing_db = _LOUDNESS_DBFS - 10 * np.log10(power)
    return samples if missing_db <= 0 else np.float32(10 ** (missing_db / 20)) * samples


def _windows(samples: Samples) -> npt.NDArray[np.float32]:
    """(windows, 160, 40); an utterance shorter than one window has silence behind it."""
    length = len(samples)
    frames = -(-(length + 1) // HOP)
    starts = list(range(0, max(1, frames - _WINDOW_FRAMES + _STEP_FRAMES + 1), _STEP_FRAMES))
    covered = (length - starts[-1] * HOP) / (_WINDOW_FRAMES * HOP)
    if covered < _LEAST_COVERED and len(starts) > 1:
        starts.pop()
    end = (starts[-1] + _WINDOW_FRAMES) * HOP
    mel = mel_power(np.pad(samples, (0, max(0, end - length))))
    return np.stack([mel[start : start + _WINDOW_FRAMES] for start in starts])


LEAST_SAMPLES = SAMPLE_RATE // 2
"""What is shorter says too little of a voice."""
