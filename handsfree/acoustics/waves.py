"""The pieces that synthesised sound is made of.

Frequencies, rates and levels here and in the modules beside it are chosen by ear and by common
knowledge of such places; no recording was used or measured.
"""

import numpy as np
import numpy.typing as npt

from handsfree.hearing.audio import SAMPLE_RATE, Samples

Wave = npt.NDArray[np.float64]  # shape (n,) at 16 kHz, of any power
Rng = np.random.Generator


def power_of(sound: Wave | Samples) -> float:
    """The mean of the squares; 0 for no samples."""
    return float(np.mean(np.asarray(sound, np.float64) ** 2)) if len(sound) else 0.0


def decibels(power: float) -> float:
    """`power` in dB, where 1 is 0 dB."""
    return float(10 * np.log10(power))


def at_rms(sound: Wave, rms: float = 1.0) -> Wave:
    """The sound, louder or quieter, so that its root mean square is `rms`."""
    return sound * (rms / float(np.sqrt(np.mean(sound**2))))


def seconds(length: int) -> Wave:
    """The moment of each of `length` samples."""
    return np.arange(length) / SAMPLE_RATE


def coloured(length: int, rng: Rng, amplitude: npt.ArrayLike, hertz: npt.ArrayLike) -> Wave:
    """Noise of power 1 whose amplitude spectrum is drawn through points, straight in log-log."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    at = np.fft.rfftfreq(length, 1 / SAMPLE_RATE)
    log_hertz, log_amplitude = np.log(np.asarray(hertz)), np.log(np.asarray(amplitude))
    shape = np.exp(np.interp(np.log(np.maximum(at, 1e-3)), log_hertz, log_amplitude))
    return at_rms(np.fft.irfft(spectrum * shape, length))


def band(length: int, rng: Rng, low_hz: float, high_hz: float) -> Wave:
    """Noise of power 1 between two frequencies, falling by 12 dB an octave outside."""
    low, high = low_hz, min(high_hz, SAMPLE_RATE / 2)
    return coloured(length, rng, (1e-3, 1.0, 1.0, 1e-3), (low / 32, low, high, high * 32))


def harmonics(length: int, rng: Rng, fundamental_hz: Wave | float, amplitude: Wave) -> Wave:
    """Tones at each multiple of a pitch that may move, each with a phase of its own.

    `fundamental_hz` is one pitch, or one for each sample; `amplitude[k]` belongs to multiple k + 1.
    Those above half the sample rate are left out.
    """
    pitch = np.broadcast_to(np.asarray(fundamental_hz, np.float64), (length,))
    turns = np.cumsum(pitch) / SAMPLE_RATE
    tones = np.zeros(length)
    for multiple, each in enumerate(amplitude, start=1):
        phase = rng.uniform(0, 1)
        audible = multiple * pitch < SAMPLE_RATE / 2
        tones += each * audible * np.sin(2 * np.pi * (multiple * turns + phase))
    return tones


def bursts(length: int, rng: Rng, on_s: tuple[float, float], off_s: tuple[float, float]) -> Wave:
    """1 while something runs and 0 while it rests, with soft edges of 30 ms.

    How long each lasts is drawn evenly from a range; where in it the sound begins, too.
    """
    gate = np.zeros(length)
    at = -round(rng.uniform(0, on_s[1]) * SAMPLE_RATE)
    while at < length:
        end = at + round(rng.uniform(*on_s) * SAMPLE_RATE)
        gate[max(0, at) : max(0, end)] = 1.0
        at = end + round(rng.uniform(*off_s) * SAMPLE_RATE)
    edge = np.hanning(round(0.03 * SAMPLE_RATE))
    return np.convolve(gate, edge / edge.sum(), mode="same")


def moments(per_s: float, length: int, rng: Rng) -> list[int]:
    """Random sample positions, `per_s` of them in each second on average."""
    count = rng.poisson(per_s * length / SAMPLE_RATE)
    return sorted(int(at) for at in rng.integers(0, length, size=count))


def add(track: Wave, at: int, sound: Wave) -> None:
    """Add `sound` to `track` at sample `at`, up to the end of the track."""
    part = sound[: max(0, len(track) - at)]
    track[at : at + len(part)] += part


def struck(partials_hz: Wave, fall_s: float, rng: Rng) -> Wave:
    """Inharmonic partials that fall to 1/e in `fall_s`, the higher ones sooner."""
    time_s = seconds(round(5 * fall_s * SAMPLE_RATE))
    stroke = np.zeros(len(time_s))
    for hz in partials_hz:
        fall = np.exp(-time_s / fall_s * (0.5 + hz / 2_000))
        stroke += fall * np.sin(2 * np.pi * hz * time_s + rng.uniform(0, 2 * np.pi))
    return stroke / len(partials_hz)


def hammered(blows: int, per_s: float, sheet_hz: Wave, rng: Rng) -> Wave:
    """A burst of hammer blows on sheet."""
    late_s, fall_s = 0.002, 0.02
    burst = np.zeros(round((blows / per_s + late_s + 5 * fall_s) * SAMPLE_RATE))
    for blow in range(blows):
        # Air hammers are not clocks: a blow comes up to 2 ms off its beat.
        at = round((blow / per_s + rng.uniform(0, late_s)) * SAMPLE_RATE)
        add(burst, at, struck(sheet_hz, fall_s, rng))
    return burst
