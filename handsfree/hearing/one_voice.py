"""Whether sound is one voice at its own speed, told from what the reader made of it.

The reader was taught to hear one voice through much, and another voice is to it only one thing
more: of two people at once it hears the one or the other, or something of both, and is sure. But in
its features one can see it. A small network tells for each frame what it is. It was trained on
recordings of one person each, mixed and played at wrong rates: models/training/one_voice.py.
"""

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from handsfree.hearing.audio import Samples
from handsfree.hearing.ctc import Floats
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable
from handsfree.words.heard import Trouble

NAME = "one-voice"
_FILE = "one-voice.npz"
_FEATURES = 384
# The classes of a frame, in the order of the network's outputs. The first is one voice, or none.
_KINDS = (None, Trouble.TWO_VOICES, Trouble.TOO_FAST, Trouble.TOO_SLOW)
# Nobody is doubted for a frame: a kind counts by its mean probability over the surest two thirds
# of a second. The limits were chosen on the tuning half, by networks that had not heard the person,
# and raised for synthetic voices that neither they nor the reader had: RESULTS.md, "Broken sound".
_AROUND = 16  # frames of 20 ms on either side
OF_VALUES = {Trouble.TWO_VOICES: 0.3, Trouble.TOO_FAST: 0.35, Trouble.TOO_SLOW: 0.4}
"""The limits for values and whatever is critical: figures of two people make a third number."""
OF_PHRASES = {**OF_VALUES, Trouble.TWO_VOICES: 0.6}
"""Those for other words. Two people who speak at once seldom make a phrase that neither said, and
at 0.3 who speaks through babble would be asked for every third phrase again."""


@dataclass(frozen=True, slots=True)
class _Weights:
    """Two layers, float32: 384 features to hidden units, and those to the kinds."""

    first: Samples  # (384, H)
    first_bias: Samples  # (H,)
    second: Samples  # (H, 4)
    second_bias: Samples  # (4,)


class OneVoice:
    """Tells two voices at once, and a voice at the wrong speed, from one voice."""

    def __init__(self, name: str, files: Mapping[str, bytes]) -> None:
        """Load the model `name` from `one-voice.npz`; or NetworkUnusable."""
        self._weights = _weights_in(files[_FILE], name)

    def trouble_in(
        self, features: Samples, limits: Mapping[Trouble, float] = OF_VALUES
    ) -> Trouble | None:
        """What `features` (T, 384) of the reader, a frame of 20 ms a row, are instead of one voice.

        None for one voice, and where nothing was said. The kind that is surest beyond its limit of
        `limits`, shares from 0 to 1.
        """
        shares = self.shares(features)
        beyond = {kind: shares[kind] - least for kind, least in limits.items()}
        surest = max(beyond, key=lambda kind: beyond[kind])
        return surest if beyond[surest] > 0 else None

    def shares(self, features: Samples) -> dict[Trouble, float]:
        """Of each kind the mean probability over the surest 0.66 s of `features`; 0 of none."""
        probabilities = self._probabilities(features)
        return {
            kind: _largest_mean(probabilities[:, at])
            for at, kind in enumerate(_KINDS)
            if kind is not None
        }

    def _probabilities(self, features: Samples) -> Floats:
        weights = self._weights
        hidden = np.maximum(features @ weights.first + weights.first_bias, 0)
        logits = (hidden @ weights.second + weights.second_bias).astype(np.float64)
        odds = np.exp(logits - logits.max(axis=1, keepdims=True))
        return np.asarray(odds / odds.sum(axis=1, keepdims=True))


def open_one_voice() -> OneVoice:
    """The one that comes with handsfree; or the errors of `catalogue`, or NetworkUnusable."""
    entry = read_catalogue().entry(NAME)
    return OneVoice(entry.name, entry.verified_files())


def _largest_mean(probabilities: Floats) -> float:
    """Over `_AROUND` frames on both sides of a frame, and fewer at the ends of the sound."""
    if not len(probabilities):
        return 0.0
    sums = np.concatenate([[0.0], np.cumsum(probabilities)])
    places = np.arange(len(probabilities))
    begins = np.maximum(places - _AROUND, 0)
    ends = np.minimum(places + _AROUND + 1, len(probabilities))
    return float(((sums[ends] - sums[begins]) / (ends - begins)).max())


def _weights_in(content: bytes, name: str) -> _Weights:
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
            weights = _Weights(
                *(arrays[each] for each in ("first", "first_bias", "second", "second_bias"))
            )
    except (ValueError, KeyError, OSError, EOFError, zipfile.BadZipFile) as error:
        raise NetworkUnusable(name, f"{_FILE} does not hold its weights ({error})") from error
    hidden = len(weights.first_bias) if weights.first_bias.ndim == 1 else 0
    wanted = ((_FEATURES, hidden), (hidden,), (hidden, len(_KINDS)), (len(_KINDS),))
    arrays_of = (weights.first, weights.first_bias, weights.second, weights.second_bias)
    found = tuple(each.shape for each in arrays_of)
    if found != wanted or any(each.dtype != np.float32 for each in arrays_of):
        raise NetworkUnusable(
            name, f"{_FILE} does not fit {_FEATURES} features and {len(_KINDS)} kinds: {found}"
        )
    return weights
