"""The silence that a speech engine leaves around a sentence.

The built-in engine puts a third of a second behind each, and up to a twentieth before. While that
is played nobody is heard, and whoever answers at once is asked to say it again.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_AUDIBLE = 100  # of 32,768: -50 dB FS, below any sound of a word
_BEFORE_S = 0.005
_BEHIND_S = 0.03  # a last "s" fades
BETWEEN_S = 0.2
"""Between two sentences. Common practice, no source."""


def without_silence(samples: "npt.NDArray[np.int16]", rate_hz: int) -> "npt.NDArray[np.int16]":
    """`samples`, mono, from just before the first sound to just behind the last one.

    All of it where nothing can be heard.
    """
    import numpy as np

    audible = np.flatnonzero(np.abs(samples.astype(np.int32)) > _AUDIBLE)
    if not len(audible):
        return samples
    first = max(0, int(audible[0]) - round(_BEFORE_S * rate_hz))
    return samples[first : int(audible[-1]) + 1 + round(_BEHIND_S * rate_hz)]
