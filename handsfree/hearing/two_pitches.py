"""Sound that has two pitches at once, as of two voices.

One voice repeats itself after a period. What is left when that period is taken away is breath and
noise, which repeat after none; the rest of a second voice repeats after another one. So noise does
not matter here, nor whose voice it is, nor what is said: de Cheveigné, "Separation of concurrent
harmonic sounds", J. Acoust. Soc. Am. 93 (1993), and for the measure of how well a sound repeats, de
Cheveigné and Kawahara, "YIN", J. Acoust. Soc. Am. 111 (2002).

All numbers were chosen on the tuning half of AN4 and on synthetic voices that the reader was not
trained on: RESULTS.md, "Two voices at once".
"""

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.ctc import Floats

_HOP = 320  # samples, 20 ms
_WINDOW = 640
# Pitches of 75 to 400 Hz.
_SHORTEST, _LONGEST = SAMPLE_RATE // 400, SAMPLE_RATE // 75
_PERIODS = np.arange(_SHORTEST, _LONGEST + 1)
# Harmonics above are too far out of step after one period to be taken away.
_BAND_HZ = (60.0, 2500.0)
# Of the loud frames' power: what is softer is no vowel of either voice.
_LEAST_POWER = 0.03
# Of two periods that fit nearly as well, the shorter is the pitch and the longer its multiple.
_AS_WELL = 0.03
_LEAST_LEFT = 0.15  # of the power, when the first voice is taken away
_LEAST_REPEATED = 0.6  # of what is left, 1 where it repeats exactly
# Whatever is left of the first voice repeats after these multiples of its period.
_OF_THE_FIRST = (1 / 3, 1 / 2, 2 / 3, 1.0, 3 / 2, 2.0, 3.0)
_BESIDE = 0.06  # of the period
_BESIDE_SAMPLES = 3
_IN_A_ROW = 2  # frames: where one sound passes into another, a single frame has two pitches too


def seconds_of_two_pitches(samples: Samples) -> float:
    """How long `samples`, mono at 16 kHz, have two pitches at once, counted by frames of 20 ms."""
    starts = range(2 * _LONGEST, len(samples) - _WINDOW + 1, _HOP)
    if not starts:
        return 0.0
    sound = _in_band(samples)
    power = np.array([np.mean(sound[at : at + _WINDOW] ** 2) for at in starts])
    loud = power > _LEAST_POWER * np.percentile(power, 95)
    two = [bool(is_loud) and _has_two(sound, at) for at, is_loud in zip(starts, loud, strict=True)]
    return _in_runs(two) * _HOP / SAMPLE_RATE


def _in_band(samples: Samples) -> Floats:
    spectrum = np.fft.rfft(samples.astype(np.float64))
    hertz = np.fft.rfftfreq(len(samples), 1 / SAMPLE_RATE)
    lowest, highest = _BAND_HZ
    spectrum[(hertz < lowest) | (hertz > highest)] = 0
    return np.asarray(np.fft.irfft(spectrum, len(samples)))


def _has_two(sound: Floats, at: int) -> bool:
    """Whether the frame from sample `at` on repeats after two periods that have no common one."""
    period = _period(_repeated(sound[at - _LONGEST : at + _WINDOW]))
    reach = slice(at - _LONGEST, at + _WINDOW)
    left = sound[reach] - sound[reach.start - period : reach.stop - period]
    own, rest = sound[at : at + _WINDOW], left[_LONGEST:]
    if np.mean(rest**2) <= 2 * _LEAST_LEFT * np.mean(own**2):  # noise is doubled by the difference
        return False
    beside = [max(_BESIDE_SAMPLES, _BESIDE * period * times) for times in _OF_THE_FIRST]
    distance = np.abs(_PERIODS[:, None] - period * np.array(_OF_THE_FIRST))
    others = (distance > np.array(beside)).all(axis=1)
    return bool(_repeated(left)[others].max(initial=-1.0) > _LEAST_REPEATED)


def _repeated(sound: Floats) -> Floats:
    """For each of `_PERIODS`, how well the last `_WINDOW` samples of `sound` repeat those before.

    1 where they are the same, 0 where they have nothing in common.
    """
    own = sound[-_WINDOW:]
    # The window moved back by each period, the shortest first.
    products = np.correlate(sound[:-_SHORTEST], own, "valid")[::-1]
    sums = np.concatenate([[0.0], np.cumsum(sound**2)])
    ends = len(sound) - _PERIODS
    before = sums[ends] - sums[ends - _WINDOW]
    both = np.sum(own**2) + before
    return np.asarray(2 * products / np.maximum(both, 1e-12))


def _period(repeated: Floats) -> int:
    """The pitch's, in samples."""
    inner = repeated[1:-1]
    peaks = np.flatnonzero((inner >= repeated[:-2]) & (inner >= repeated[2:])) + 1
    good = peaks[repeated[peaks] > repeated.max() - _AS_WELL]
    return int(_PERIODS[good[0] if len(good) else int(repeated.argmax())])


def _in_runs(flags: list[bool]) -> int:
    """How many stand in runs of at least `_IN_A_ROW`."""
    edges = np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8))
    lengths = np.flatnonzero(edges == -1) - np.flatnonzero(edges == 1)
    return int(lengths[lengths >= _IN_A_ROW].sum())
