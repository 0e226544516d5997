"""Whether a microphone is good enough to be worked with, and what to do about it. Pure."""

import math
from dataclasses import dataclass

import numpy as np

from handsfree.hearing.audio import Samples
from handsfree.hearing.live.channel import dbfs
from handsfree.hearing.live.endpoint import FRAME_SAMPLES

# All limits are common practice or own measurements, no source. dB FS as `dbfs` counts it.
QUIETEST_DBFS, LOUDEST_DBFS = -38.0, -6.0
HIGHEST_FLOOR_DBFS = -40.0
LEAST_SNR_DB, GOOD_SNR_DB = 10.0, 20.0
_FULL_SCALE = 0.999
_CLIPPED_RUN = 3  # samples at full scale in a row: one alone may be a true peak
_ACTIVE_RANGE_DB = 30.0


@dataclass(frozen=True, slots=True)
class SoundMeasured:
    """What a sound check found."""

    level_dbfs: float  # of the voice, in its active frames
    floor_dbfs: float  # of the place, while nobody speaks
    clipped: int  # samples that were cut off at full scale

    @property
    def snr_db(self) -> float:
        """The power of the voice, without the noise that is in it, over that of the noise."""
        if self.level_dbfs <= self.floor_dbfs:
            return -math.inf
        if math.isinf(self.floor_dbfs):
            return math.inf
        ratio: float = 10 ** ((self.level_dbfs - self.floor_dbfs) / 10) - 1
        return 10 * math.log10(ratio)


def measure(quiet: Samples, voice: Samples) -> SoundMeasured:
    """Measure sound at 16 kHz: `quiet` with nobody speaking, `voice` with the words in it."""
    return SoundMeasured(dbfs(_active(voice)), dbfs(quiet), _clipped(voice) + _clipped(quiet))


def advice(measured: SoundMeasured) -> tuple[str, ...]:
    """What is wrong and what to do, one sentence for each; nothing where all is well."""
    found = []
    if measured.clipped:
        found.append(
            "The sound is cut off at full scale: turn the input level down, or move the "
            "microphone away from the lips."
        )
    if measured.level_dbfs < QUIETEST_DBFS:
        found.append(
            "The voice is quiet: move the microphone nearer, two fingers from the corner of the "
            "mouth, or turn the input level up."
        )
    elif measured.level_dbfs > LOUDEST_DBFS and not measured.clipped:
        found.append("The voice is very loud: turn the input level down.")
    if measured.snr_db < LEAST_SNR_DB:
        found.append(
            "The noise drowns the voice: use a headset with a noise-cancelling microphone, and "
            "speak close to it."
        )
    elif measured.snr_db < GOOD_SNR_DB:
        found.append(
            "There is much noise: move the microphone nearer, or wait with readings for a quieter "
            "moment."
        )
    elif measured.floor_dbfs > HIGHEST_FLOOR_DBFS:
        found.append(
            "The noise at the microphone is loud: turn off its automatic gain, or turn the input "
            "level down."
        )
    return tuple(found)


def readability(heard_it: bool, score: float, measured: SoundMeasured) -> int:
    """How the voice was read, on the scale of ICAO Annex 10 Vol II, 5.2.1.8.4.

    1 unreadable, 2 readable now and then, 3 readable but with difficulty, 4 readable, 5 perfectly
    readable. Which figures make which is our own choice.
    """
    if not heard_it:
        return 1 if measured.snr_db < 0 else 2
    if score < 0.8 or measured.snr_db < LEAST_SNR_DB:
        return 3
    return 5 if score >= 0.95 and not advice(measured) else 4


def _active(voice: Samples) -> Samples:
    """The frames within 30 dB of the loudest: the pauses between words do not count."""
    whole = len(voice) // FRAME_SAMPLES * FRAME_SAMPLES
    if not whole:
        return voice
    frames = voice[:whole].reshape(-1, FRAME_SAMPLES)
    power = np.mean(frames.astype(np.float64) ** 2, axis=1)
    active = frames[power >= power.max() / 10 ** (_ACTIVE_RANGE_DB / 10)]
    return np.asarray(active.reshape(-1), np.float32)


def _clipped(samples: Samples) -> int:
    full = np.abs(samples) >= _FULL_SCALE
    edges = np.flatnonzero(np.diff(np.concatenate([[0], full.astype(np.int8), [0]])))
    runs = edges[1::2] - edges[::2]
    return int(runs[runs >= _CLIPPED_RUN].sum())
