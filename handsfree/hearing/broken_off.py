"""Whether a recording stops within a word.

Of a value that stops within its last word, both listeners leave that word out, or take it for a
shorter one, and are sure. Live, silence ends every utterance; but a clip can be cut short, and so
can what a headset sends. Its level alone does not tell: many whole recordings are trimmed closely.
The reader's features of the last frame do, for they know the word. A small network looks at them:
models/training/broken_off.py.
"""

from collections.abc import Mapping

import numpy as np

from handsfree.hearing.audio import Samples
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.two_layers import two_layers_in

NAME = "broken-off"
_FILE = "broken-off.npz"
_KINDS = 2  # whole, broken off
_FRAME = 320  # samples, 20 ms, as the reader's frames
# What was cut off may be filled with silence by a program. A microphone's own is louder than this.
_SILENT_DB = 55.0  # below the loudest frame
# The probability from which a recording is doubted. It was set after a look at people held out:
# RESULTS.md, "Recordings that stop within a word".
_FROM = 0.9


class BrokenOff:
    """Tells a recording that stops within a word from one that ends behind it."""

    def __init__(self, name: str, files: Mapping[str, bytes]) -> None:
        """Load the model `name` from `broken-off.npz`; or NetworkUnusable."""
        self._network = two_layers_in(files[_FILE], name, _FILE, _KINDS)

    def is_broken_off(self, samples: Samples, features: Samples) -> bool:
        """Whether `samples`, mono at 16 kHz, stop within a word.

        `features` (T, 384) are the reader's of them, a frame of 20 ms a row.
        """
        return self.probability(samples, features) > _FROM

    def probability(self, samples: Samples, features: Samples) -> float:
        """That they do, 0 to 1; 0 of silence."""
        last = _last_frame(samples, len(features))
        if last is None:
            return 0.0
        return float(self._network.probabilities(features[last : last + 1])[0, 1])


def open_broken_off() -> BrokenOff:
    """The one that comes with handsfree; or the errors of `catalogue`, or NetworkUnusable."""
    entry = read_catalogue().entry(NAME)
    return BrokenOff(entry.name, entry.verified_files())


def _last_frame(samples: Samples, frames: int) -> int | None:
    """The last of `frames` that holds more than the silence that a program fills in."""
    heard = samples[: min(frames, len(samples) // _FRAME) * _FRAME].astype(np.float64)
    power = np.square(heard).reshape(-1, _FRAME).mean(axis=1)
    if not power.any():
        return None
    return int(np.flatnonzero(power >= power.max() * 10 ** (-_SILENT_DB / 10))[-1])
