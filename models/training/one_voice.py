"""Teach a small network to tell one voice at its own speed from anything else.

    python3 models/training/one_voice.py make --seed 1 --number 1600
    python3 models/training/one_voice.py fit --out models/one-voice

`make` lets the shipped reader listen to sounds of `one_voice_data.py` and keeps its features in
`.cache/one-voice`, a file a seed; `fit` trains on all that lie there. Needs no GPU and no torch:
about 0.1 s of one core a sound, and half a minute to fit. With `--held-out` it prints what networks
that were trained without a quarter of the speakers make of that quarter, by which the limits were
chosen.

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
    ALONE,
    FAST,
    KINDS,
    SLOW,
    TWO,
    Example,
    Person,
    alone,
    at_the_wrong_rate,
    two_at_once,
)
from rich.progress import track
from two_layers import Floats, Shape, Weights, probabilities, write

SHAPE = Shape(len(KINDS), hidden=32, epochs=5, decay=1e-3)
# There are many more frames of one voice than of others: each second one is left out, and counts
# twice.
KEPT_ALONE = 2
WRONG_COUNTS = 2.0  # as much as a frame of one voice
FOLDS = 4
# Of eight sounds; two at once are the hardest to tell.
MIXTURE = (ALONE, ALONE, ALONE, TWO, TWO, TWO, FAST, SLOW)
# As in handsfree/hearing/one_voice.py.
AROUND = 16  # frames


@dataclass(frozen=True, slots=True)
class Heard:
    """Sounds as the reader took them in; N of them with F frames in all."""

    features: NDArray[np.float16]  # (F, 384)
    frames: NDArray[np.int8]  # (F,) the kind of each
    kinds: NDArray[np.int8]  # (N,)
    lengths: NDArray[np.int64]  # (N,) in frames
    folds: NDArray[np.int8]  # (N,) whose speakers are in no other fold

    @property
    def fold_of_frame(self) -> NDArray[np.int8]:
        """(F,)."""
        return np.repeat(self.folds, self.lengths)


def example(kind: int, cast: list[Person], random: np.random.Generator) -> Example:
    """One sound of `kind`."""
    if kind == ALONE:
        return alone(cast, random)
    if kind == TWO:
        return two_at_once(cast, random)
    return at_the_wrong_rate(cast, random, kind)


def make(cast: list[Person], reader: Path, seed: int, number: int) -> Heard:
    """`number` sounds by `cast`; equal seeds give equal sounds."""
    random = np.random.default_rng(seed)
    listener = Reader(reader)
    features, frames, kinds, lengths, folds = [], [], [], [], []
    for at in track(range(number), "listening"):
        fold = at // len(MIXTURE) % FOLDS
        made = example(MIXTURE[at % len(MIXTURE)], cast[fold::FOLDS], random)
        length = min(len(made.frames), len(made.sound) // FRAME)
        features.append(listener.hear(made.sound)[0][0, :length].astype(np.float16))
        frames.append(made.frames[:length])
        kinds.append(made.kind)
        lengths.append(length)
        folds.append(fold)
    return Heard(
        np.concatenate(features),
        np.concatenate(frames),
        np.array(kinds, np.int8),
        np.array(lengths),
        np.array(folds, np.int8),
    )


def fit(features: NDArray[np.float16], frames: NDArray[np.int8], seed: int) -> Weights:
    """A network for the frames; each second one of one voice is left out."""
    chosen = np.flatnonzero((frames != ALONE) | (np.arange(len(frames)) % KEPT_ALONE == 0))
    counts = np.where(frames == ALONE, KEPT_ALONE, WRONG_COUNTS).astype(np.float32)
    return two_layers.fit(features, frames, counts, chosen, SHAPE, seed)


def shares(weights: Weights, features: NDArray[np.float16]) -> Floats:
    """For each kind its largest mean probability over `AROUND` frames on both sides of a frame."""
    sums = np.cumsum(probabilities(weights, features), axis=0)
    sums = np.vstack([np.zeros_like(sums[:1]), sums])
    places = np.arange(len(features))
    begins, ends = np.maximum(places - AROUND, 0), np.minimum(places + AROUND + 1, len(features))
    return np.asarray(((sums[ends] - sums[begins]) / (ends - begins)[:, None]).max(axis=0))


def held_out(heard: Heard, seed: int) -> Floats:
    """(N, kinds): the shares of each sound, by a network that knew none of its speakers."""
    of_frame = heard.fold_of_frame
    told = np.zeros((len(heard.kinds), len(KINDS)), np.float32)
    ends = np.cumsum(heard.lengths)
    for fold in track(range(FOLDS), "fitting"):
        others = of_frame != fold
        weights = fit(heard.features[others], heard.frames[others], seed)
        for at in np.flatnonzero(heard.folds == fold):
            sound = heard.features[ends[at] - heard.lengths[at] : ends[at]]
            told[at] = shares(weights, sound)
    return told


def report(heard: Heard, told: Floats) -> Iterator[str]:
    """Markdown: of each kind what is found, and of one voice what is taken for it, by limit."""
    yield "| kind | limit | found | of one voice taken for it |"
    yield "|" + " --- |" * 4
    one = heard.kinds == ALONE
    for kind in (TWO, FAST, SLOW):
        for limit in (0.15, 0.2, 0.25, 0.3, 0.35, 0.4):
            found = (told[heard.kinds == kind, kind] > limit).mean()
            wrong = (told[one, kind] > limit).mean()
            yield f"| {KINDS[kind]} | {limit} | {100 * found:.1f} % | {100 * wrong:.1f} % |"


def main() -> None:
    """Make sounds, fit to those that were made, or tell how well it does on people held out."""
    chosen = asked((__doc__ or "").splitlines()[0], "one-voice")
    if chosen.what == "make":
        keep(make(cast_of(chosen), chosen.reader, chosen.seed, chosen.number), chosen)
        return
    heard = kept(Heard, chosen.cache)
    if chosen.held_out:
        for line in report(heard, held_out(heard, chosen.seed)):
            print(line)
        return
    write(
        fit(heard.features, heard.frames, chosen.seed), chosen.out / "one-voice.npz", chosen.reader
    )


if __name__ == "__main__":
    main()
