"""Synthesised hangar noise, and speech mixed into it at a stated signal-to-noise ratio.

Sound here is mono float32 of shape (n,) at 16 kHz, full scale at 1.0. Frequencies, rates and levels
are chosen by ear and by common knowledge of such places; no recording was used or measured.
"""

import numpy as np
import numpy.typing as npt

from handsfree.errors import HandsfreeError

Sound = npt.NDArray[np.float32]
_Wave = npt.NDArray[np.float64]

RATE_HZ = 16_000
NOISE_RMS = 0.05
FRAME_S = 0.02
ACTIVE_RANGE_DB = 30.0

_REVERBERATION_S = 2.5  # time to fall by 60 dB; large halls with hard walls have 2 to 4 s
_RIVET_BURSTS_PER_S = 0.12
_RIVET_BLOWS_PER_S = 30.0
_CLANKS_PER_S = 0.25


class Unmixable(HandsfreeError):
    """Speech and noise that have no signal-to-noise ratio together."""


def hangar_noise(seconds: float, rng: np.random.Generator) -> Sound:
    """Noise of an aircraft hangar, `seconds` long, with an RMS level of `NOISE_RMS`.

    A falling background with ventilation hum, distant rivet guns and struck metal, all in one
    reverberating hall. The same state of `rng` gives the same noise.
    """
    # Echoes of strokes before the clip belong to it: the first reverberation time is cut away.
    lead = round(_REVERBERATION_S * RATE_HZ)
    length = lead + round(seconds * RATE_HZ)
    steady = _background(length, rng) + 0.4 * _ventilation(length, rng)
    struck = _reverberate(_rivet_guns(length, rng) + _clanks(length, rng), rng)
    noise = _at_rms((steady + struck)[lead:], NOISE_RMS)
    return noise.astype(np.float32)


def mix_at_snr(speech: Sound, noise: Sound, snr_db: float) -> Sound:
    """Speech with as much noise as gives the ratio `snr_db`, as long as the speech.

    The ratio is mean speech power over mean noise power, both over the active speech only: the
    frames of `FRAME_S` whose power is at most `ACTIVE_RANGE_DB` below that of the loudest frame.
    Pauses, and silence put before or after the speech, do not change it. Noise beyond the end of
    the speech is not used. Where the mixture would clip, all of it is made quieter.
    Raises Unmixable if the noise is shorter than the speech, or either is silent where it counts.
    """
    if len(noise) < len(speech):
        raise Unmixable(
            f"The noise lasts {len(noise) / RATE_HZ:.2f} s and the speech "
            f"{len(speech) / RATE_HZ:.2f} s. Make the noise at least as long."
        )
    noise = noise[: len(speech)]
    active = _active(speech)
    if not active.any():
        raise Unmixable("The speech is silent: there is no level to set the noise against.")
    speech_power = np.mean(speech[active].astype(np.float64) ** 2)
    noise_power = np.mean(noise[active].astype(np.float64) ** 2)
    if noise_power == 0:
        raise Unmixable("The noise is silent during the speech: no gain gives it a level.")
    gain = np.sqrt(speech_power / noise_power / 10 ** (snr_db / 10))
    mixture: _Wave = speech + gain * noise
    return (mixture / max(1.0, float(np.abs(mixture).max()))).astype(np.float32)


def _active(speech: Sound) -> npt.NDArray[np.bool_]:
    """Tell for each sample whether it belongs to active speech."""
    frame = round(FRAME_S * RATE_HZ)
    padded = np.pad(speech.astype(np.float64), (0, -len(speech) % frame))
    power = np.mean(padded.reshape(-1, frame) ** 2, axis=1)
    loudest = power.max(initial=0.0)
    active = (power > 0) & (power >= loudest / 10 ** (ACTIVE_RANGE_DB / 10))
    return np.repeat(active, frame)[: len(speech)]


def _background(length: int, rng: np.random.Generator) -> _Wave:
    """Pink noise up to 400 Hz and brown above, as air and distance leave of many sources."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    hz = np.maximum(np.fft.rfftfreq(length, 1 / RATE_HZ), 30.0)
    return _at_rms(np.fft.irfft(spectrum / np.sqrt(hz * np.maximum(hz / 400, 1)), length))


def _ventilation(length: int, rng: np.random.Generator) -> _Wave:
    """Hum of two fans: blade harmonics whose strength beats slowly."""
    time_s = np.arange(length) / RATE_HZ
    hum = np.zeros(length)
    for blade_hz in rng.uniform(95, 125, size=2):
        for harmonic in range(1, 7):
            phase, beat_phase = rng.uniform(0, 2 * np.pi, size=2)
            beat = 1 + 0.3 * np.sin(2 * np.pi * rng.uniform(0.1, 0.5) * time_s + beat_phase)
            hum += beat * np.sin(2 * np.pi * harmonic * blade_hz * time_s + phase) / harmonic
    return _at_rms(hum)


def _rivet_guns(length: int, rng: np.random.Generator) -> _Wave:
    """Bursts of hammer blows on sheet, some near and some far."""
    guns = np.zeros(length)
    for start in _moments(_RIVET_BURSTS_PER_S, length, rng):
        sheet_hz = rng.uniform(500, 1_800, size=4)
        loudness = rng.uniform(4, 10)
        blows = rng.integers(15, 60)
        for blow in range(blows):
            # Air hammers are not clocks: a blow comes up to 2 ms off its beat.
            at = start + round((blow / _RIVET_BLOWS_PER_S + rng.uniform(0, 0.002)) * RATE_HZ)
            _add(guns, at, loudness * _struck(sheet_hz, 0.02, rng))
    return guns


def _clanks(length: int, rng: np.random.Generator) -> _Wave:
    """Single strokes on tools, stands and structure."""
    clanks = np.zeros(length)
    for start in _moments(_CLANKS_PER_S, length, rng):
        bar_hz = rng.uniform(700, 6_000, size=6)
        _add(clanks, start, rng.uniform(6, 20) * _struck(bar_hz, rng.uniform(0.1, 0.4), rng))
    return clanks


def _struck(partials_hz: _Wave, fall_s: float, rng: np.random.Generator) -> _Wave:
    """Inharmonic partials that fall to 1/e in `fall_s`, the higher ones sooner."""
    time_s = np.arange(round(5 * fall_s * RATE_HZ)) / RATE_HZ
    stroke = np.zeros(len(time_s))
    for hz in partials_hz:
        fall = np.exp(-time_s / fall_s * (0.5 + hz / 2_000))
        stroke += fall * np.sin(2 * np.pi * hz * time_s + rng.uniform(0, 2 * np.pi))
    return stroke / len(partials_hz)


def _reverberate(dry: _Wave, rng: np.random.Generator) -> _Wave:
    """The sound and its echo in the hall: noise that falls by 60 dB in the reverberation time."""
    length = round(_REVERBERATION_S * RATE_HZ)
    echo = rng.standard_normal(length) * 10 ** (-3 * np.arange(length) / length)
    echo *= 0.7 / np.sqrt(np.sum(echo**2))
    echo[0] += 0.5
    size = len(dry) + length
    return np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(echo, size), size)[: len(dry)]


def _moments(per_s: float, length: int, rng: np.random.Generator) -> list[int]:
    """Random sample positions, `per_s` of them in each second on average."""
    count = rng.poisson(per_s * length / RATE_HZ)
    return sorted(int(at) for at in rng.integers(0, length, size=count))


def _add(track: _Wave, at: int, sound: _Wave) -> None:
    """Add `sound` to `track` at sample `at`, up to the end of the track."""
    part = sound[: max(0, len(track) - at)]
    track[at : at + len(part)] += part


def _at_rms(sound: _Wave, rms: float = 1.0) -> _Wave:
    return sound * (rms / float(np.sqrt(np.mean(sound**2))))
