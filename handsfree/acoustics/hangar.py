"""A hangar at some distance: a background, fans, rivet guns and struck metal in one hall."""

import numpy as np

from handsfree.acoustics.room import convolved, falling_noise
from handsfree.acoustics.waves import Rng, Wave, add, at_rms, hammered, moments, seconds, struck
from handsfree.hearing.audio import SAMPLE_RATE

_REVERBERATION_S = 2.5  # time to fall by 60 dB; large halls with hard walls have 2 to 4 s
_RIVET_BURSTS_PER_S = 0.12
_RIVET_BLOWS_PER_S = 30.0
_CLANKS_PER_S = 0.25


def hangar(length: int, rng: Rng) -> Wave:
    """Noise of an aircraft hangar, of power 1."""
    # Echoes of strokes before the clip belong to it: the first reverberation time is cut away.
    lead = round(_REVERBERATION_S * SAMPLE_RATE)
    steady = _background(lead + length, rng) + 0.4 * fans(lead + length, rng)
    far = _reverberated(_rivet_guns(lead + length, rng) + _clanks(lead + length, rng), rng)
    return at_rms((steady + far)[lead:])


def fans(length: int, rng: Rng) -> Wave:
    """Hum of two fans, of power 1: blade harmonics whose strength beats slowly."""
    time_s = seconds(length)
    hum = np.zeros(length)
    for blade_hz in rng.uniform(95, 125, size=2):
        for harmonic in range(1, 7):
            phase, beat_phase = rng.uniform(0, 2 * np.pi, size=2)
            beat = 1 + 0.3 * np.sin(2 * np.pi * rng.uniform(0.1, 0.5) * time_s + beat_phase)
            hum += beat * np.sin(2 * np.pi * harmonic * blade_hz * time_s + phase) / harmonic
    return at_rms(hum)


def _background(length: int, rng: Rng) -> Wave:
    """Pink noise up to 400 Hz and brown above, as air and distance leave of many sources."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    hz = np.maximum(np.fft.rfftfreq(length, 1 / SAMPLE_RATE), 30.0)
    return at_rms(np.fft.irfft(spectrum / np.sqrt(hz * np.maximum(hz / 400, 1)), length))


def _rivet_guns(length: int, rng: Rng) -> Wave:
    """Bursts of hammer blows on sheet, some near and some far."""
    guns = np.zeros(length)
    for start in moments(_RIVET_BURSTS_PER_S, length, rng):
        sheet_hz = rng.uniform(500, 1_800, size=4)
        loudness = rng.uniform(4, 10)
        blows = int(rng.integers(15, 60))
        add(guns, start, loudness * hammered(blows, _RIVET_BLOWS_PER_S, sheet_hz, rng))
    return guns


def _clanks(length: int, rng: Rng) -> Wave:
    """Single strokes on tools, stands and structure."""
    clanks = np.zeros(length)
    for start in moments(_CLANKS_PER_S, length, rng):
        bar_hz = rng.uniform(700, 6_000, size=6)
        add(clanks, start, rng.uniform(6, 20) * struck(bar_hz, rng.uniform(0.1, 0.4), rng))
    return clanks


def _reverberated(dry: Wave, rng: Rng) -> Wave:
    """The sound and its echo in the hall."""
    echo = falling_noise(round(_REVERBERATION_S * SAMPLE_RATE), rng)
    echo *= 0.7 / np.sqrt(np.sum(echo**2))
    echo[0] += 0.5
    return convolved(dry, echo)
