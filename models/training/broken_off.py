"""Teach a small network to tell a recording that stops within a word from one that ends behind it.

    python3 models/training/broken_off.py make --seed 1 --number 1600
    python3 models/training/broken_off.py fit --out models/broken-off

`make` lets the shipped reader listen to one voice in any noise (`one_voice_data.py`). Half of the
sounds stop 50 to 220 ms before the voice does; the others stop up to 0.4 s after it, many at once.
Of each the features of the last frame are kept in `.cache/broken-off`, a file a seed; `fit` trains
on all that lie there. About 0.1 s of one core a sound, and seconds to fit. With `--held-out` it
prints what networks that were trained without a quarter of the speakers make of that quarter.

The network is one of `two_layers.py`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import two_layers
from listening import FRAME, Reader
from making import asked, cast_of, keep, kept
from numpy.typing import NDArray
from one_voice_data import (
    SAMPLE_RATE,
    Person,
    Samples,
    in_room,
    received,
    said_by,
    voiced_frames,
)
from rich.progress import track
from two_layers import Floats, Shape, Weights, probabilities, write

KINDS = ("whole", "broken off")
SHAPE = Shape(len(KINDS), hidden=16, epochs=60, decay=3e-2)
FOLDS = 4
CUT_S = (0.05, 0.22)  # before the voice ends
LATEST_S = 0.4  # behind its end
AT_ONCE_S = 0.06
AT_ONCE = 0.4  # of those that are whole
# A detector or a network fills what it cut off with silence.
FILLED = 0.35
FILLED_S = (0.02, 0.5)
FILLED_DB = (60.0, 90.0)  # below the loudest sample
# As in handsfree/hearing/broken_off.py.
SILENT_DB = 55.0  # below the loudest frame


@dataclass(frozen=True, slots=True)
class Ends:
    """The ends of N sounds, as the reader took them in."""

    features: NDArray[np.float16]  # (N, 384) of the last frame that is not silent
    kinds: NDArray[np.int8]  # (N,)
    folds: NDArray[np.int8]  # (N,) whose speakers are in no other fold


def example(cast: list[Person], random: np.random.Generator, broken: bool) -> Samples:
    """One voice, broken off or whole."""
    while True:
        clean = said_by(cast[random.integers(len(cast))], random)
        voiced = np.flatnonzero(voiced_frames(clean))
        if not len(voiced):
            continue
        ends = (int(voiced[-1]) + 1) * FRAME
        if broken:
            stops = ends - round(random.uniform(*CUT_S) * SAMPLE_RATE)
        else:
            latest = AT_ONCE_S if random.random() < AT_ONCE else LATEST_S
            stops = ends + round(random.uniform(0, latest) * SAMPLE_RATE)
        room_left = np.zeros(max(0, stops - len(clean)), np.float32)
        sound = received(in_room(np.concatenate([clean, room_left]), random), cast, random)[:stops]
        if random.random() < FILLED:
            silence = random.standard_normal(round(random.uniform(*FILLED_S) * SAMPLE_RATE))
            loudest = float(np.abs(sound).max(initial=0.0))
            silence *= loudest * 10 ** (-random.uniform(*FILLED_DB) / 20)
            sound = np.concatenate([sound, silence.astype(np.float32)])
        if FRAME * 10 < len(sound) < 9.6 * SAMPLE_RATE:
            return sound


def last_frame(sound: Samples) -> int:
    """The last frame that holds more than the silence that a program fills in."""
    frames = len(sound) // FRAME
    power = np.square(sound[: frames * FRAME], dtype=np.float64).reshape(frames, FRAME).mean(axis=1)
    return int(np.flatnonzero(power >= power.max() * 10 ** (-SILENT_DB / 10))[-1])


def make(cast: list[Person], reader: Path, seed: int, number: int) -> Ends:
    """The ends of `number` sounds by `cast`; equal seeds give equal sounds."""
    random = np.random.default_rng(seed)
    listener = Reader(reader)
    features, kinds, folds = [], [], []
    for at in track(range(number), "listening"):
        kind, fold = at % len(KINDS), at // len(KINDS) % FOLDS
        sound = example(cast[fold::FOLDS], random, broken=bool(kind))
        features.append(listener.hear(sound)[0][0, last_frame(sound)].astype(np.float16))
        kinds.append(kind)
        folds.append(fold)
    return Ends(np.array(features), np.array(kinds, np.int8), np.array(folds, np.int8))


def fit(ends: Ends, seed: int) -> Weights:
    """A network for the ends."""
    counts = np.ones(len(ends.kinds), np.float32)
    everything = np.arange(len(ends.kinds))
    return two_layers.fit(ends.features, ends.kinds, counts, everything, SHAPE, seed)


def held_out(ends: Ends, seed: int) -> Floats:
    """(N,): the probability of each that it is broken off, by a network without its speakers."""
    told = np.zeros(len(ends.kinds), np.float32)
    for fold in range(FOLDS):
        own = ends.folds == fold
        others = Ends(ends.features[~own], ends.kinds[~own], ends.folds[~own])
        told[own] = probabilities(fit(others, seed), ends.features[own])[:, 1]
    return told


def report(ends: Ends, told: Floats) -> Iterator[str]:
    """Markdown: what is found, and what of whole sounds is taken for it, by limit."""
    yield "| limit | broken off, found | whole, taken for it |"
    yield "|" + " --- |" * 3
    for limit in (0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95):
        found = (told[ends.kinds == 1] > limit).mean()
        wrong = (told[ends.kinds == 0] > limit).mean()
        yield f"| {limit} | {100 * found:.1f} % | {100 * wrong:.1f} % |"


def main() -> None:
    """Make sounds, fit to those that were made, or tell how well it does on people held out."""
    chosen = asked((__doc__ or "").splitlines()[0], "broken-off")
    if chosen.what == "make":
        keep(make(cast_of(chosen), chosen.reader, chosen.seed, chosen.number), chosen)
        return
    ends = kept(Ends, chosen.cache)
    if chosen.held_out:
        for line in report(ends, held_out(ends, chosen.seed)):
            print(line)
        return
    write(fit(ends, chosen.seed), chosen.out / "broken-off.npz", chosen.reader)


if __name__ == "__main__":
    main()
