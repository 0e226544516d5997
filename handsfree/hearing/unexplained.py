"""Sound that no word explains: what a listener has left out.

A reader that loses a soft word in noise is as sure of the others as ever, and so is Whisper on what
it took in. But the lost word can still be seen in the level of the sound, away from every letter
that was heard. All numbers here were chosen on the tuning half of AN4 and on the strangers' digits,
by readers that had not heard the people: at 10 dB of pink noise this finds half of the values that
both listeners believed with a word left out, and doubts 1 to 2 % of the right ones.
"""

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.ctc import BLANK, Floats

_FRAME = 320  # samples, 20 ms, as the reader's frames
_SMOOTHED_OVER = 5  # frames
# The reader names a letter near its middle: what is farther from any is no part of its word.
_FARTHEST_S = 0.3
_NOISE_AT = 15  # percentile of the levels: there are pauses in any utterance
_ABOVE_NOISE_DB = 2.0
# A breath, or the room behind a close microphone, is softer than a soft word.
_LOUDEST_AT = 95  # percentile
_SOFTEST_WORD_DB = 20.0


def unexplained_s(samples: Samples, log_probs: Floats) -> float:
    """Seconds of sound as loud as a soft word and far from every letter that was heard.

    `samples` are mono at 16 kHz; `log_probs` (T, C) natural logs, a frame of 20 ms a row, blank
    first, with T at least as long as the samples. 0 where nothing was heard at all: there the score
    has nothing to believe.
    """
    letters = np.flatnonzero(np.exp(log_probs[:, BLANK]) < 0.5)
    frames = len(samples) // _FRAME
    if not len(letters) or not frames:
        return 0.0
    power = np.square(samples[: frames * _FRAME], dtype=np.float64).reshape(frames, _FRAME)
    smooth = np.convolve(power.mean(axis=1), np.full(_SMOOTHED_OVER, 1 / _SMOOTHED_OVER), "same")
    level_db = 10 * np.log10(smooth + 1e-12)
    heard_from = max(
        float(np.percentile(level_db, _NOISE_AT)) + _ABOVE_NOISE_DB,
        float(np.percentile(level_db, _LOUDEST_AT)) - _SOFTEST_WORD_DB,
    )
    away = np.abs(np.arange(frames)[:, None] - letters).min(axis=1)
    seconds_a_frame = _FRAME / SAMPLE_RATE
    unexplained = (level_db > heard_from) & (away * seconds_a_frame > _FARTHEST_S)
    return float(unexplained.sum() * seconds_a_frame)
