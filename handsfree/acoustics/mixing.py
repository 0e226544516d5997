"""Speech as the ear of a run would get it from a noisy place.

The order is that of the air: the voice in the room, the noise added where the microphone is, and
both through the headset. The ratio is stated at the microphone, before the headset's band.
"""

from dataclasses import dataclass

import numpy as np

from handsfree.acoustics.headset import WIDEBAND, Headset, through
from handsfree.acoustics.level import HANGOVER_S, speech_level
from handsfree.acoustics.noise import Noise
from handsfree.acoustics.room import HANGAR, Room, in_room
from handsfree.acoustics.waves import Rng
from handsfree.hearing.audio import SAMPLE_RATE, Samples

_FULL_SCALE = 0.99


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What lies between a mouth and the ear of a run. None leaves that part out."""

    noise: Noise | None
    snr_db: float
    room: Room | None = HANGAR
    headset: Headset | None = WIDEBAND


def heard_in(speech: Samples, surroundings: Surroundings, seed: int) -> Samples:
    """`speech` from those surroundings, as long as it was; equal seeds give equal sound.

    Where it would clip, all of it is made quieter, which changes no ratio. Raises SpeechSilent.
    """
    rng = np.random.default_rng(seed)
    sound = in_room(speech, surroundings.room, rng) if surroundings.room else speech
    if surroundings.noise:
        sound = mixed(sound, surroundings.noise, surroundings.snr_db, rng)
    if surroundings.headset:
        sound = through(sound, surroundings.headset)
    return _within_full_scale(sound)


def mixed(speech: Samples, noise: Noise, snr_db: float, rng: Rng) -> Samples:
    """`speech` with a drawn stretch of `noise`, whose level is `snr_db` below the speech's.

    The level of the speech is its active level (ITU-T P.56), that of the noise its mean over all of
    it. The speech is measured with silence behind it, for a recording that is cut close would
    otherwise be taken for louder than the same one with a pause at its end. Raises SpeechSilent.
    """
    behind = np.zeros(round(2 * HANGOVER_S * SAMPLE_RATE), np.float32)
    level_db = speech_level(np.concatenate([speech, behind])).active_db
    gain = np.float32(10 ** ((level_db - snr_db) / 20))
    return _within_full_scale(speech + gain * noise.stretch(len(speech), rng))


def _within_full_scale(sound: Samples) -> Samples:
    loudest = float(np.abs(sound).max(initial=0.0))
    return sound * np.float32(_FULL_SCALE / loudest) if loudest > _FULL_SCALE else sound
