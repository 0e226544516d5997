"""Noise that is made of people: many who talk at once, and one in the loudspeakers."""

from collections.abc import Sequence
from functools import cache

import numpy as np

from handsfree.acoustics.headset import Headset, through
from handsfree.acoustics.level import speech_level
from handsfree.acoustics.room import HANGAR, convolved, falling_noise
from handsfree.acoustics.waves import Rng, Wave, add, at_rms, seconds
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.speaking.voice import Voice

_TALKERS = 6
_HORN = Headset(400.0, 4_000.0)  # a horn loudspeaker; common practice, no source
# Told by nobody to anybody: no phrase of a task, but words that a hangar is full of.
_SENTENCES = (
    "Has anybody seen the long ladder? It was here before lunch.",
    "The part comes on the late truck, they said, not before four.",
    "I will be on the other side until the shift changes.",
    "Hold the light a little lower, please. Yes, there it is good.",
    "We did the same one last week and it took the whole night.",
    "Leave the door as it is, he wants to look at it himself.",
    "Who has the keys of the tow tractor?",
    "Bring two more of the blue cloths, and the small mirror.",
)
_PACES = (0.9, 1.0, 1.15)
_TRACTS = (0.88, 1.0, 1.14)  # played faster, a voice is that of a smaller person


def babble(speech: Sequence[Samples], length: int, rng: Rng) -> Wave:
    """Several people at once, all equally loud, each going on without a rest."""
    crowd = np.zeros(length)
    for _ in range(_TALKERS):
        crowd += _talker(speech, length, rng)
    return crowd


def public_address(speech: Sequence[Samples], length: int, rng: Rng) -> Wave:
    """A gong of two tones and a sentence from loudspeakers in a large hall, again and again."""
    hall = np.zeros(length)
    at = -round(rng.uniform(0, 4) * SAMPLE_RATE)
    while at < length:
        call = np.concatenate([_gong(), _drawn(speech, rng)])
        add(hall, max(0, at), call[max(0, -at) :])
        at += len(call) + round(rng.uniform(0.5, 2.0) * SAMPLE_RATE)
    echo = falling_noise(round(HANGAR.reverberation_s * SAMPLE_RATE), rng)
    # Far from the loudspeakers the echo is as strong as they are.
    echo /= np.sqrt(np.sum(echo**2))
    echo[0] += 1.0
    return convolved(through(hall.astype(np.float32), _HORN), echo)


@cache
def built_in_talk() -> tuple[Samples, ...]:
    """Sentences of the built-in voice, as several people; raises SpeechEngineFailed."""
    import soxr

    said: list[Samples] = []
    for pace, tract in zip(_PACES, _TRACTS, strict=True):
        voice = Voice(SAMPLE_RATE, pace / tract)
        try:
            spoken = [voice.render(each) for each in _SENTENCES]
        finally:
            voice.close()
        said += [
            soxr.resample(each.astype(np.float32) / 32768, SAMPLE_RATE * tract, SAMPLE_RATE)
            for each in spoken
        ]
    return tuple(said)


def _talker(speech: Sequence[Samples], length: int, rng: Rng) -> Wave:
    track = np.zeros(length)
    at = -round(rng.uniform(0, 2) * SAMPLE_RATE)
    while at < length:
        sentence = _drawn(speech, rng)
        add(track, max(0, at), sentence[max(0, -at) :])
        at += len(sentence) + round(rng.uniform(0.05, 0.4) * SAMPLE_RATE)
    return track


def _drawn(speech: Sequence[Samples], rng: Rng) -> Wave:
    """One of the clips, at an active level of 0 dB."""
    clip = speech[int(rng.integers(len(speech)))].astype(np.float64)
    return clip * 10 ** (-speech_level(clip).active_db / 20)


def _gong() -> Wave:
    time_s = seconds(round(0.9 * SAMPLE_RATE))
    high, low = (np.sin(2 * np.pi * hz * time_s) * np.exp(-3 * time_s) for hz in (660.0, 550.0))
    return at_rms(np.concatenate([high[: len(high) // 2], low]))
