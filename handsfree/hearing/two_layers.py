"""A small network that tells of a frame of the reader's features what kind it is.

Two layers, in NumPy. It knows the features of the reader that it was made for and of no other:
models/training/two_layers.py.
"""

import io
import zipfile
from dataclasses import dataclass

import numpy as np

from handsfree.hearing.audio import Samples
from handsfree.hearing.ctc import Floats
from handsfree.hearing.network import NetworkUnusable

_FEATURES = 384
_NAMES = ("first", "first_bias", "second", "second_bias")


@dataclass(frozen=True, slots=True)
class TwoLayers:
    """The weights, float32: 384 features to H hidden units, and those to K kinds."""

    first: Samples  # (384, H)
    first_bias: Samples  # (H,)
    second: Samples  # (H, K)
    second_bias: Samples  # (K,)

    def probabilities(self, features: Samples) -> Floats:
        """Of each kind, (T, K), for `features` (T, 384) of the reader, a frame of 20 ms a row."""
        hidden = np.maximum(features @ self.first + self.first_bias, 0)
        logits = (hidden @ self.second + self.second_bias).astype(np.float64)
        odds = np.exp(logits - logits.max(axis=1, keepdims=True))
        return np.asarray(odds / odds.sum(axis=1, keepdims=True))


def two_layers_in(content: bytes, name: str, file: str, kinds: int) -> TwoLayers:
    """The weights in `content` of `file` of the model `name`; or NetworkUnusable."""
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
            weights = TwoLayers(*(arrays[each] for each in _NAMES))
    except (ValueError, KeyError, OSError, EOFError, zipfile.BadZipFile) as error:
        raise NetworkUnusable(name, f"{file} does not hold its weights ({error})") from error
    hidden = len(weights.first_bias) if weights.first_bias.ndim == 1 else 0
    wanted = ((_FEATURES, hidden), (hidden,), (hidden, kinds), (kinds,))
    arrays_of = (weights.first, weights.first_bias, weights.second, weights.second_bias)
    found = tuple(each.shape for each in arrays_of)
    if found != wanted or any(each.dtype != np.float32 for each in arrays_of):
        raise NetworkUnusable(
            name, f"{file} does not fit {_FEATURES} features and {kinds} kinds: {found}"
        )
    return weights
