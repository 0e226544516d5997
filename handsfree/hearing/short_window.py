"""Whisper's own encoder on the part of its 30 s window that holds sound.

The rest of the window is silence, of which the encoder makes the same each time. So what the sound
may attend to of it, its keys and values, is computed once and kept, and an utterance of a second
costs a twentieth of the whole window. What is lost is that this silence has not attended to the
sound before it. Made by models/training/short_window.py; what it costs and how far it differs
stands in tests/benchmarks/RESULTS.md, "Quicker open phrases".
"""

import math
from typing import TYPE_CHECKING

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable, network_in, shapes_of

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

NAME = "short-window"
_FILE = "encoder.onnx"
_SIGNATURE = {"mel", "kept_keys", "kept_values", "features", "keys", "values"}
_CPU_THREADS = 2
_FRAME = 320  # samples, 20 ms
_MEL_PER_FRAME = 2
_WINDOW_FRAMES = 1500
_KEPT = (4, 0, 384)  # blocks, frames, width
# Silence that is computed behind the sound: with 0.5 s of it the features of the words differ from
# those of the whole window by 1.6 % of their variance, with 1 s by 1.0 %.
_SILENCE_S = 1.0
# Log-mel reaches from its own peak to 2 below. With its peak at a usual level, silence is the same
# whatever was said before it.
_PEAK = 1.0
_SILENT = _PEAK - 2.0


class ShortWindow:
    """The encoder, with what it makes of silence."""

    def __init__(self) -> None:
        """Load the network and have it listen to silence: a third of a second.

        Raises the errors of `catalogue`, or NetworkUnusable.
        """
        from faster_whisper.feature_extractor import FeatureExtractor

        self._network = _open()
        self._log_mel = FeatureExtractor()
        nothing = np.zeros(_KEPT, np.float32)
        silence = np.full((1, 80, _MEL_PER_FRAME * _WINDOW_FRAMES), _SILENT, np.float32)
        self._features, self._keys, self._values = self._network.run(
            ["features", "keys", "values"],
            {"mel": silence, "kept_keys": nothing, "kept_values": nothing},
        )

    def features(self, audio: Audio) -> Samples:
        """What Whisper's decoder reads, (1, 1500, 384). Of sound beyond 30 s nothing is heard."""
        seconds = len(audio.samples) / SAMPLE_RATE + _SILENCE_S
        frames = min(_WINDOW_FRAMES, math.ceil(seconds * SAMPLE_RATE / _FRAME))
        window = np.zeros(frames * _FRAME, np.float32)
        heard = audio.samples[: len(window)]
        window[: len(heard)] = heard
        mel = self._log_mel(window)[None, :, : _MEL_PER_FRAME * frames].astype(np.float32)
        (features,) = self._network.run(
            ["features"],
            {
                "mel": mel + np.float32(_PEAK - mel.max()),
                "kept_keys": self._keys[:, frames:],
                "kept_values": self._values[:, frames:],
            },
        )
        whole: Samples = np.concatenate([features, self._features[:, frames:]], axis=1)
        return whole


def _open() -> "InferenceSession":
    content = read_catalogue().entry(NAME).verified_files()[_FILE]
    network = network_in(content, NAME, _FILE, _CPU_THREADS)
    shapes = shapes_of(network)
    if set(shapes) != _SIGNATURE:
        raise NetworkUnusable(NAME, f"{_FILE} is another network: it has {shapes}")
    return network
