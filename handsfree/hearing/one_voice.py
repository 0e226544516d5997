"""Whether sound is one voice at its own speed, told from what the reader made of it.

The reader was taught to hear one voice through much, and another voice is to it only one thing
more: of two people at once it hears the one or the other, or something of both, and is sure. But in
its features one can see it. A small network tells for each frame what it is. It was trained on
recordings of one person each, mixed and played at wrong rates: models/training/one_voice.py.
"""

from collections.abc import Mapping

import numpy as np

from handsfree.hearing.audio import Samples
from handsfree.hearing.ctc import Floats
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.two_layers import two_layers_in
from handsfree.hearing.two_pitches import seconds_of_two_pitches
from handsfree.words.heard import Trouble

NAME = "one-voice"
_FILE = "one-voice.npz"
# The classes of a frame, in the order of the network's outputs. The first is one voice, or none.
_KINDS = (None, Trouble.TWO_VOICES, Trouble.TOO_FAST, Trouble.TOO_SLOW)
# Nobody is doubted for a frame: a kind counts by its mean probability over the surest two thirds
# of a second. The limits were chosen on the tuning half, by networks that had not heard the person,
# and raised for synthetic voices that neither they nor the reader had: RESULTS.md, "Broken sound".
_AROUND = 16  # frames of 20 ms on either side
_LIMITS = {Trouble.TOO_FAST: 0.35, Trouble.TOO_SLOW: 0.4}
STRICT, LOOSE = 0.55, 0.8
"""Of two voices: the limit for values and whatever is critical, and that for other words."""
# The network takes much of what a voice that is strange to it says, above all in noise, for half of
# two. So a second witness is asked, which knows no voices: what share a second with two pitches
# counts for, and all of them at most. RESULTS.md, "Two voices at once".
_A_SECOND_OF_TWO_PITCHES = 4.0
_MOST_FOR_TWO_PITCHES = 0.4
# Where two pitches could make it two voices, it is not surely one, though they do not.
_NOT_SURELY_ONE = STRICT - _MOST_FOR_TWO_PITCHES


class OneVoice:
    """Tells two voices at once, and a voice at the wrong speed, from one voice."""

    def __init__(self, name: str, files: Mapping[str, bytes]) -> None:
        """Load the model `name` from `one-voice.npz`; or NetworkUnusable."""
        self._network = two_layers_in(files[_FILE], name, _FILE, len(_KINDS))

    def trouble_in(
        self, samples: Samples, features: Samples, *, strict: bool = True
    ) -> Trouble | None:
        """What an utterance is instead of one voice; None for one voice, and for silence.

        `samples` are mono at 16 kHz, and `features` (T, 384) the reader's of them, a frame of 20 ms
        a row. The kind that is surest beyond its limit.
        """
        shares = self.shares(features)
        limits = {**_LIMITS, Trouble.TWO_VOICES: STRICT if strict else LOOSE}
        missing = limits[Trouble.TWO_VOICES] - shares[Trouble.TWO_VOICES]
        if 0 <= missing < _MOST_FOR_TWO_PITCHES:
            more = _A_SECOND_OF_TWO_PITCHES * seconds_of_two_pitches(samples)
            shares[Trouble.TWO_VOICES] += min(_MOST_FOR_TWO_PITCHES, more)
        beyond = {kind: shares[kind] - least for kind, least in limits.items()}
        surest = max(beyond, key=lambda kind: beyond[kind])
        return surest if beyond[surest] > 0 else None

    def is_unsure(self, features: Samples) -> bool:
        """Whether what is no trouble for want of two pitches may be two voices all the same."""
        return self.shares(features)[Trouble.TWO_VOICES] > _NOT_SURELY_ONE

    def shares(self, features: Samples) -> dict[Trouble, float]:
        """Of each kind the mean probability over the surest 0.66 s of `features`; 0 of none."""
        probabilities = self._network.probabilities(features)
        return {
            kind: _largest_mean(probabilities[:, at])
            for at, kind in enumerate(_KINDS)
            if kind is not None
        }


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
