"""What Whisper says to words that it is asked about on the reader's features."""

import math
import sys

from handsfree.words.heard import Opinion

QUICK = "whisper-tiny.en-int8 on the reader's features"

_A_HALF = math.log(0.5)


def answer(words: tuple[str, ...], pieces: tuple[float, ...]) -> Opinion:
    """Whisper's opinion of `words`: its own only where it would write just them by itself.

    `pieces` are natural logs of the probabilities of their pieces and of their end.
    """
    if min(pieces) <= _A_HALF:
        return Opinion(QUICK, (), -math.inf, 0.0, "")
    likely = sum(pieces)
    # All other words together have the rest of the probability.
    others = math.log(max(-math.expm1(likely), sys.float_info.min))
    return Opinion(QUICK, words, likely, max(0.0, likely - others), " ".join(words))
