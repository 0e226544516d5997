"""How loud speech is while it is spoken: the active speech level of ITU-T P.56, method B.

The mean power of a recording falls with each pause in it; the active level does not. It is the mean
power over the time in which an envelope of the speech lies above a threshold, or has done so within
the last 0.2 s, and the threshold is set 15.9 dB below the active level itself.

Constants and steps follow the published speech voltmeter of ITU-T's software tool library
(Recommendation G.191, `sv-p56.c`), read beside it; two things differ. That program halves an
interval until it is within 0.5 dB, and here the crossing is found exactly on the same straight
line. And its lowest threshold is one step of 16 bits, here it is one of 24, for sound that is not
whole numbers.
"""

from dataclasses import dataclass

import numpy as np

from handsfree.acoustics.waves import Wave, decibels, power_of
from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE, Samples

SMOOTHING_S = 0.03
HANGOVER_S = 0.2
MARGIN_DB = 15.9
_THRESHOLDS = 2.0 ** -np.arange(23, 0, -1)  # of the envelope, each twice the one before


class SpeechSilent(HandsfreeError):
    """There is no speech in the sound whose level could be told."""

    def __init__(self) -> None:
        super().__init__("There is no speech in it: its level cannot be told. Record it again.")


@dataclass(frozen=True, slots=True)
class SpeechLevel:
    """What the speech voltmeter shows, in dB where a square wave of full scale is 0 dB."""

    active_db: float
    long_term_db: float  # the mean power over all of it, pauses included
    activity: float  # the share of the time in which somebody speaks, 0 to 1


def speech_level(speech: Samples | Wave, rate_hz: int = SAMPLE_RATE) -> SpeechLevel:
    """Measure `speech`, shape (n,); raises SpeechSilent."""
    long_term = power_of(speech)
    if long_term == 0 or not np.isfinite(long_term):
        raise SpeechSilent
    long_term_db = decibels(long_term)
    envelope = _envelope(speech, rate_hz)
    below: tuple[float, float] | None = None
    for threshold in _THRESHOLDS:
        active = _active_samples(envelope, float(threshold), rate_hz)
        if not active:
            break
        active_db = long_term_db + decibels(len(speech) / active)
        above_threshold_db = active_db - 20 * float(np.log10(threshold))
        if above_threshold_db <= MARGIN_DB:
            if below is None:  # all of it lies under the lowest threshold
                break
            active_db = _crossing(below, (active_db, above_threshold_db))
            activity = 10 ** ((long_term_db - active_db) / 10)
            return SpeechLevel(active_db, long_term_db, activity)
        below = active_db, above_threshold_db
    raise SpeechSilent


def _envelope(speech: Samples | Wave, rate_hz: int) -> Wave:
    """The magnitude, smoothed twice with a time constant of 30 ms."""
    from scipy.signal import lfilter

    keep = np.exp(-1 / (rate_hz * SMOOTHING_S))
    smoothed = np.abs(np.asarray(speech, np.float64))
    for _ in range(2):
        smoothed = lfilter([1 - keep], [1, -keep], smoothed)
    return smoothed


def _active_samples(envelope: Wave, threshold: float, rate_hz: int) -> int:
    """How many samples are above the threshold, or at most the hangover behind one that is."""
    places = np.arange(len(envelope))
    never = -(10**9)
    last_above = np.maximum.accumulate(np.where(envelope >= threshold, places, never))
    return int(np.count_nonzero(places - last_above <= round(HANGOVER_S * rate_hz)))


def _crossing(below: tuple[float, float], above: tuple[float, float]) -> float:
    """The active level where the straight line between two thresholds meets the margin."""
    (level_below, over_below), (level_above, over_above) = below, above
    share = (over_below - MARGIN_DB) / (over_below - over_above)
    return level_below + share * (level_above - level_below)
