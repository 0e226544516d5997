"""A room, as what it makes of a click: the direct sound, and an echo that dies away.

The echo is noise that falls by 60 dB in the reverberation time, which is how the late part of a
room's response behaves (M. R. Schroeder's and J.-D. Polack's statistical model; from memory).
"""

from dataclasses import dataclass

import numpy as np

from handsfree.acoustics.waves import Rng, Wave
from handsfree.hearing.audio import SAMPLE_RATE, Samples


@dataclass(frozen=True, slots=True)
class Room:
    """A room as one microphone in it hears one mouth.

    `direct_db` says by how much the power of the direct sound is above that of the whole echo.
    """

    reverberation_s: float  # time to fall by 60 dB
    direct_db: float

    def __post_init__(self) -> None:
        if not 0 < self.reverberation_s <= 10:
            raise ValueError(f"no room reverberates for {self.reverberation_s} s")


# Large halls with hard walls have 2 to 4 s, furnished small spaces 0.3 to 0.6 s. A microphone two
# fingers from the mouth hears little of either. Common practice, no source.
HANGAR = Room(reverberation_s=2.5, direct_db=15.0)
CABIN = Room(reverberation_s=0.4, direct_db=18.0)


def response(room: Room, rng: Rng) -> Wave:
    """What a click of height 1 becomes, shape (n,): 1, then the echo from 2 ms on."""
    length = round(room.reverberation_s * SAMPLE_RATE)
    echo = falling_noise(length, rng)
    echo[: round(0.002 * SAMPLE_RATE)] = 0.0
    echo *= np.sqrt(10 ** (-room.direct_db / 10) / np.sum(echo**2))
    echo[0] = 1.0
    return echo


def falling_noise(length: int, rng: Rng) -> Wave:
    """Noise that falls by 60 dB over `length` samples."""
    return rng.standard_normal(length) * 10 ** (-3 * np.arange(length) / length)


def in_room(speech: Samples, room: Room, rng: Rng) -> Samples:
    """The speech as the microphone in `room` hears it, as long as it was: its last echo is cut."""
    return convolved(speech, response(room, rng)).astype(np.float32)


def convolved(sound: Samples | Wave, click: Wave) -> Wave:
    """The sound through something that makes `click` of a click, cut to its own length."""
    from scipy.fft import next_fast_len

    # Of a length with large prime factors the transform takes ten times as long.
    size = next_fast_len(len(sound) + len(click), real=True)
    product = np.fft.rfft(sound, size) * np.fft.rfft(click, size)
    whole: Wave = np.fft.irfft(product, size)[: len(sound)]
    return whole
