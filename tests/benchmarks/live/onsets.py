"""Where the first word of a recording begins, and where its last one ends."""

from functools import cache
from typing import Any

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples

_ALIGNER_FRAME = SAMPLE_RATE // 100  # 10 ms
_FILLERS = ("<", "[", "+")  # silence, the ends of a sentence, noise, a breath


def first_word(samples: Samples, words: tuple[str, ...]) -> int | None:
    """The sample at which the first of `words` begins; None where they cannot be aligned.

    By pocketsphinx (CMU), which has its own acoustic model and knows nothing of ours: the onset is
    not judged by what is measured. Energy alone takes a breath or a click for a word.
    """
    spoken = spoken_words(samples, words)
    return spoken[0][0] if spoken else None


def spoken_words(samples: Samples, words: tuple[str, ...]) -> list[tuple[int, int]]:
    """The first and the last sample of each word, by the same; empty where they do not fit."""
    aligner = _aligner()
    aligner.set_align_text(" ".join(words))
    aligner.start_utt()
    aligner.process_raw(np.int16(samples * 32767).tobytes(), full_utt=True)
    aligner.end_utt()
    if aligner.hyp() is None:
        return []
    return [
        (int(each.start_frame) * _ALIGNER_FRAME, (int(each.end_frame) + 1) * _ALIGNER_FRAME)
        for each in aligner.seg()
        if not each.word.startswith(_FILLERS)
    ]


def last_sound(samples: Samples) -> int:
    """The sample at which speech ends, by energy: what comes after is 30 dB below the loudest.

    In frames of 16 ms, three in a row, so that a click behind the words does not count. On the
    clean recording; the threshold is a choice of ours.
    """
    size = SAMPLE_RATE * 16 // 1000
    frames = samples[: len(samples) // size * size].reshape(-1, size).astype(np.float64)
    power = np.mean(frames**2, axis=1)
    active = power >= power.max() / 1000
    found = np.flatnonzero(active[:-2] & active[1:-1] & active[2:])
    return (int(found[-1]) + 3) * size


@cache
def _aligner() -> Any:  # pocketsphinx has no types
    from pocketsphinx import Decoder

    return Decoder(lm=None, loglevel="FATAL")
