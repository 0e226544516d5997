"""Sounds to teach the difference between one voice at its own speed, and anything else.

Everything is made from recordings of one person each: alone in any noise, two at once, or played at
the wrong rate. Audio is float32, mono, at 16 kHz. Ranges are common practice, no source.
"""

import csv
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray
from speakers import half

SAMPLE_RATE = 16_000  # Hz
FRAME = 320  # samples, 20 ms, as the reader's frames
ALONE, TWO, FAST, SLOW = range(4)
KINDS = ("alone", "two", "fast", "slow")

Samples = NDArray[np.float32]
Random = np.random.Generator

_LONGEST_S = 9.6  # the reader hears 10 s
_VOICED_DB = 25.0  # below the loudest frame of its clip
_HEARD_BESIDE_DB = 15.0  # two voices are told apart where neither is this far below the other
_LEAST_TOGETHER = 0.3  # of the voiced frames of the shorter one


@dataclass(frozen=True, slots=True)
class Person:
    """One speaker's recordings, and whether they are single words to be strung together."""

    name: str
    paths: tuple[Path, ...]
    strung: bool


@dataclass(frozen=True, slots=True)
class Example:
    """One sound, its kind, and the kind of each of its frames."""

    sound: Samples
    kind: int
    frames: NDArray[np.int8]  # a frame of 20 ms each; ALONE where nobody speaks


def people(recordings: Path, wanted: str, strangers: Sequence[str]) -> list[Person]:
    """The speakers of one half of AN4, and of the strangers' digits those that are named."""
    paths: dict[str, list[Path]] = {}
    for corpus in ("an4", "digits"):
        folder = recordings / corpus
        with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
            for row in csv.DictReader(table):
                name = row["speaker"]
                if half(name) == wanted if corpus == "an4" else name in strangers:
                    paths.setdefault(name, []).append(folder / "clips" / row["clip"])
    return [
        Person(name, tuple(own), strung=own[0].parent.parent.name == "digits")
        for name, own in sorted(paths.items())
    ]


def voices(folder: Path) -> list[Person]:
    """The synthetic people of `folder`, a folder of recordings each; see `one_voice_people.py`."""
    return [
        Person(each.name, tuple(sorted(each.iterdir())), strung=False)
        for each in sorted(folder.iterdir())
    ]


@lru_cache(maxsize=4096)
def _recorded(path: Path) -> Samples:
    sound, rate = soundfile.read(path, dtype="float32")
    if rate != SAMPLE_RATE:
        sound = soxr.resample(sound, rate, SAMPLE_RATE)
    return np.asarray(sound, np.float32)


def said_by(person: Person, random: Random, at_rate: float = 1.0) -> Samples:
    """Something that the person says, played at `at_rate` times its speed, power 1 where voiced."""
    if person.strung:
        pieces: list[Samples] = [np.zeros(round(random.uniform(0, 0.4) * SAMPLE_RATE), np.float32)]
        for _ in range(random.integers(1, 7)):
            pieces.append(_recorded(person.paths[random.integers(len(person.paths))]))
            pieces.append(np.zeros(round(random.uniform(0, 0.4) * SAMPLE_RATE), np.float32))
        sound = np.concatenate(pieces)
    else:
        sound = _recorded(person.paths[random.integers(len(person.paths))])
    # Throats of other sizes than those that were recorded.
    rate = at_rate * float(np.exp(random.uniform(math.log(0.88), math.log(1.14))))
    sound = soxr.resample(sound, SAMPLE_RATE * rate, SAMPLE_RATE)[: round(_LONGEST_S * SAMPLE_RATE)]
    voiced = np.repeat(voiced_frames(sound), FRAME)
    power = float(np.mean(np.square(sound[: len(voiced)][voiced]))) if voiced.any() else 1.0
    return np.asarray(sound / math.sqrt(power + 1e-12), np.float32)


def _levels_db(sound: Samples) -> NDArray[np.float64]:
    frames = len(sound) // FRAME
    power = np.square(sound[: frames * FRAME], dtype=np.float64).reshape(frames, FRAME).mean(axis=1)
    return np.asarray(10 * np.log10(power + 1e-12))


def voiced_frames(sound: Samples) -> NDArray[np.bool_]:
    """For each frame of 20 ms, whether it is near enough to the loudest to be voice."""
    levels = _levels_db(sound)
    return np.asarray(levels > levels.max(initial=-120.0) - _VOICED_DB)


def alone(cast: Sequence[Person], random: Random) -> Example:
    """One voice at its own speed, in whatever a microphone hears besides."""
    clean = in_room(said_by(_one_of(cast, random), random), random)
    return Example(received(clean, cast, random), ALONE, np.zeros(len(clean) // FRAME, np.int8))


def at_the_wrong_rate(cast: Sequence[Person], random: Random, kind: int) -> Example:
    """One voice, played by a machine that takes its sample rate for another one."""
    rate = random.uniform(1.6, 2.3) if kind == FAST else random.uniform(0.44, 0.62)
    clean = in_room(said_by(_one_of(cast, random), random, rate), random)
    frames = np.where(voiced_frames(clean), kind, ALONE).astype(np.int8)
    return Example(received(clean, cast, random), kind, frames)


def two_at_once(cast: Sequence[Person], random: Random) -> Example:
    """Two people, as loud to 6 dB, who speak at once for at least 0.3 of what the briefer says."""
    while True:
        first, second = random.choice(len(cast), 2, replace=False)
        one = in_room(said_by(cast[first], random), random)
        other = in_room(said_by(cast[second], random), random)
        other *= np.float32(10 ** (random.uniform(-6, 6) / 20))
        starts = round(random.uniform(0, 0.7 * len(one) / FRAME)) * FRAME
        length = min(max(len(one), starts + len(other)), round(_LONGEST_S * SAMPLE_RATE))
        one, other = (_placed(each, at, length) for each, at in ((one, 0), (other, starts)))
        if random.random() < 0.5:
            one, other = other, one
        apart = np.abs(_levels_db(one) - _levels_db(other)) < _HEARD_BESIDE_DB
        voices = voiced_frames(one), voiced_frames(other)
        together = voices[0] & voices[1]
        if together.sum() >= _LEAST_TOGETHER * min(each.sum() for each in voices):
            frames = np.where(together & apart, TWO, ALONE).astype(np.int8)
            return Example(received(one + other, cast, random), TWO, frames)


def _placed(sound: Samples, at: int, length: int) -> Samples:
    placed = np.zeros(length, np.float32)
    kept = sound[: length - at]
    placed[at : at + len(kept)] = kept
    return placed


def _one_of(cast: Sequence[Person], random: Random) -> Person:
    return cast[random.integers(len(cast))]


def in_room(clean: Samples, random: Random) -> Samples:
    """For two in five, decaying noise behind the direct sound: RT60 0.1 to 0.6 s."""
    if random.random() > 0.4:
        return clean
    time = np.arange(SAMPLE_RATE // 2) / SAMPLE_RATE
    tail = random.standard_normal(len(time)) * np.exp(-6.9 * time / random.uniform(0.1, 0.6))
    tail[: round(random.uniform(0.001, 0.012) * SAMPLE_RATE)] = 0
    tail *= 10 ** (-random.uniform(2, 18) / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    size = 1 << (len(clean) + len(tail)).bit_length()
    heard = np.fft.irfft(np.fft.rfft(clean, size) * np.fft.rfft(tail, size), size)
    return np.asarray(heard[: len(clean)], np.float32)


def received(speech: Samples, cast: Sequence[Person], random: Random) -> Samples:
    """`speech` with noise for seven of ten, through a channel, at any level."""
    sound = speech
    if random.random() < 0.7:
        kind = _NOISES[random.integers(len(_NOISES))]
        noise = kind(len(speech), cast, random)
        quietest = 10.0 if kind is babble else 4.0
        power = np.mean(speech**2) / 10 ** (random.uniform(quietest, 30) / 10)
        sound = speech + noise * np.float32(math.sqrt(power / (np.mean(noise**2) + 1e-12)))
    sound = _through_channel(sound, random)
    peak = 10 ** (-random.uniform(0, 40) / 20)
    return np.asarray(sound * (peak / (np.abs(sound).max() + 1e-9)), np.float32)


def _coloured(length: int, _cast: Sequence[Person], random: Random) -> Samples:
    spectrum = np.fft.rfft(random.standard_normal(length))
    hertz = np.maximum(np.fft.rfftfreq(length, 1 / SAMPLE_RATE), 50)
    noise = np.fft.irfft(spectrum * hertz ** -random.uniform(0, 1), length)
    time = np.arange(length) / SAMPLE_RATE
    swelling_db = random.uniform(0, 6) * np.sin(2 * np.pi * random.uniform(0.1, 3) * time)
    return np.asarray(noise * 10 ** (swelling_db / 20), np.float32)


def _hum(length: int, _cast: Sequence[Person], random: Random) -> Samples:
    pitch = random.choice([50.0, 60.0, 400.0, random.uniform(80, 700)])
    time = np.arange(length) / SAMPLE_RATE
    hum = sum(
        random.uniform(0, 1) / n * np.sin(2 * np.pi * (pitch * n * time + random.random()))
        for n in range(1, 9)
    )
    return np.asarray(hum + 0.05 * random.standard_normal(length), np.float32)


def _bangs(length: int, _cast: Sequence[Person], random: Random) -> Samples:
    strikes = (random.random(length) < 2 / SAMPLE_RATE) * random.standard_normal(length)
    time = np.arange(SAMPLE_RATE // 4) / SAMPLE_RATE
    ring = np.exp(-time / random.uniform(0.005, 0.1)) * np.sin(
        2 * np.pi * random.uniform(200, 4000) * time
    )
    ring += 0.3 * random.standard_normal(len(time)) * np.exp(-time / 0.01)
    size = 1 << (length + len(ring)).bit_length()
    sound = np.fft.irfft(np.fft.rfft(strikes, size) * np.fft.rfft(ring, size), size)[:length]
    return np.asarray(sound + 1e-3 * random.standard_normal(length), np.float32)


def babble(length: int, cast: Sequence[Person], random: Random) -> Samples:
    """Five other voices, none of which can be followed."""
    noise = np.zeros(length, np.float32)
    for _ in range(5):
        voice = said_by(_one_of(cast, random), random)
        noise += np.resize(np.roll(voice, random.integers(len(voice))), length)
    return noise


_Noise = Callable[[int, Sequence[Person], Random], Samples]
_NOISES: tuple[_Noise, ...] = (_coloured, _coloured, _hum, _bangs, babble, babble)


def _through_channel(sound: Samples, random: Random) -> Samples:
    """A tilt and a resonance; for one in four nothing above 4 kHz, for one in six a telephone."""
    hertz = np.maximum(np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE), 20)
    octaves = np.log2(hertz / 1000)
    gain_db = octaves * random.uniform(-3, 3)
    centre, width = random.uniform(-3, 2.8), random.uniform(0.2, 1.0)
    gain_db += random.uniform(-9, 7) * np.exp(-((octaves - centre) ** 2) / width)
    drawn = random.random()
    if drawn < 0.25:
        gain_db[hertz > random.uniform(3500, 4000)] = -80
    elif drawn < 0.42:
        outside = np.maximum(0, np.log2(300 / hertz)) + np.maximum(0, np.log2(hertz / 3400))
        gain_db -= 48 * outside
    spectrum = np.fft.rfft(sound) * 10 ** (np.maximum(gain_db, -80) / 20)
    return np.asarray(np.fft.irfft(spectrum, len(sound)), np.float32)
