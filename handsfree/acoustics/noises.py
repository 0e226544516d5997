"""The noises of a hangar that can be asked for by name, synthesised from a seed.

None was recorded: `noise_file.py` reads the sound of a real place. What is drawn is a described
spectrum with described events; see `waves.py` for where the numbers are from.
"""

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from handsfree.acoustics.hangar import fans, hangar
from handsfree.acoustics.noise import Noise
from handsfree.acoustics.talk import babble, built_in_talk, public_address
from handsfree.acoustics.waves import (
    Rng,
    Wave,
    add,
    at_rms,
    band,
    bursts,
    coloured,
    hammered,
    harmonics,
    seconds,
)
from handsfree.errors import Misuse
from handsfree.hearing.audio import SAMPLE_RATE, Samples

LENGTH_S = 30.0  # a stretch of it is drawn for each utterance
_PINK_ABOVE_HZ = 50.0


class NoiseUnknown(Misuse):
    """Nobody can synthesise a noise of that name."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"There is no noise {name!r}. There are: {', '.join(NOISES)}; "
            "or name a sound file of your hangar, such as hangar.wav."
        )


def noise_called(name: str, seed: int, speech: Sequence[Samples] = ()) -> Noise:
    """The noise `name`, `LENGTH_S` long; equal arguments give equal noise.

    What people say in it is made of `speech`, or of the built-in voice where none is given.
    Raises NoiseUnknown; SpeechEngineFailed where the built-in voice is asked for and missing.
    """
    if name not in NOISES:
        raise NoiseUnknown(name)
    rng = np.random.default_rng(seed)
    length = round(LENGTH_S * SAMPLE_RATE)
    if name in _OF_SPEECH:
        return Noise.of(name, _OF_SPEECH[name](speech or built_in_talk(), length, rng))
    return Noise.of(name, _OF_THINGS[name](length, rng))


def white_noise(length: int, rng: Rng) -> Wave:
    """Equal power in each hertz."""
    return rng.standard_normal(length)


def pink_noise(length: int, rng: Rng) -> Wave:
    """Power that falls by 3 dB an octave from 50 Hz on; power 1."""
    white = np.fft.rfft(white_noise(length, rng))
    hertz = np.fft.rfftfreq(length, 1 / SAMPLE_RATE)
    return at_rms(np.fft.irfft(white / np.sqrt(np.maximum(hertz, _PINK_ABOVE_HZ)), length))


def pneumatic_drill(length: int, rng: Rng) -> Wave:
    """An air motor's whine, which sinks under load, and its exhaust; seconds on, seconds off."""
    runs = bursts(length, rng, on_s=(1.5, 5.0), off_s=(0.5, 2.0))
    sags = 1 - 0.25 * bursts(length, rng, on_s=(0.5, 2.0), off_s=(0.3, 1.0))
    whine = harmonics(length, rng, rng.uniform(900, 1_300) * sags, 1 / np.arange(1, 7) ** 0.7)
    exhaust = band(length, rng, 1_500, 7_000)
    chatter = harmonics(length, rng, rng.uniform(60, 90) * sags, 1 / np.arange(1, 13))
    return runs * (at_rms(whine) + 1.2 * exhaust + 0.5 * at_rms(chatter))


def rivet_gun(length: int, rng: Rng) -> Wave:
    """Bursts of half a second to two seconds, 25 to 35 blows a second, on skin after skin."""
    guns = np.zeros(length)
    at = -round(rng.uniform(0, 1) * SAMPLE_RATE)
    while at < length:
        per_s = rng.uniform(25, 35)
        burst = hammered(
            int(per_s * rng.uniform(0.5, 2.0)), per_s, rng.uniform(400, 3_500, size=8), rng
        )
        heard = burst[max(0, -at) :] * rng.uniform(0.5, 1.0)
        add(guns, max(0, at), heard)
        at += len(burst) + round(rng.uniform(0.3, 1.5) * SAMPLE_RATE)
    return at_rms(guns) + 0.1 * pink_noise(length, rng)


def ground_power_unit(length: int, rng: Rng) -> Wave:
    """400 Hz and its harmonics, on a diesel engine of six cylinders, with its cooling fan."""
    current = harmonics(length, rng, 400.0, np.array([1, 0.6, 0.5, 0.3, 0.35, 0.2, 0.2, 0.1]))
    # 2,000 rpm of a four-stroke with six cylinders fires 100 times a second; the governor hunts.
    hunts = 1 + 0.01 * np.sin(2 * np.pi * 0.4 * seconds(length) + rng.uniform(0, 2 * np.pi))
    firing = harmonics(length, rng, rng.uniform(95, 105) * hunts, 1 / np.arange(1, 25) ** 0.8)
    fan = coloured(length, rng, (0.3, 1.0, 0.5, 0.05), (30, 200, 1_000, 8_000))
    return 0.7 * at_rms(current) + at_rms(firing) + 0.8 * fan


def air_conditioning(length: int, rng: Rng) -> Wave:
    """The rush of air from a duct, falling by 5 dB an octave above 250 Hz, on the hum of fans."""
    # 5 dB an octave is a factor of 10 ** (5 * 5 / 20) over the five octaves up to 8 kHz.
    rush = coloured(length, rng, (0.5, 1.0, 1.0, 10 ** (-25 / 20)), (30, 80, 250, 8_000))
    return rush + 0.4 * fans(length, rng)


_OF_THINGS: Mapping[str, Callable[[int, Rng], Wave]] = {
    "hangar": hangar,
    "drill": pneumatic_drill,
    "rivet-gun": rivet_gun,
    "ground-power": ground_power_unit,
    "air-conditioning": air_conditioning,
    "pink": pink_noise,
    "white": white_noise,
}
_OF_SPEECH: Mapping[str, Callable[[Sequence[Samples], int, Rng], Wave]] = {
    "public-address": public_address,
    "babble": babble,
}
NOISES: tuple[str, ...] = (*_OF_THINGS, *_OF_SPEECH)
