"""Teach a small network to tell one voice at its own speed from anything else.

    python3 models/training/one_voice.py make --seed 1 --number 1600
    python3 models/training/one_voice.py fit --out models/one-voice

`make` lets the shipped reader listen to sounds of `one_voice_data.py` and keeps its features in
`.cache/one-voice`, a file a seed; `fit` trains on all that lie there. Needs no GPU and no torch:
about 0.1 s of one core a sound, and half a minute to fit. With `--held-out` it prints what networks
that were trained without a quarter of the speakers make of that quarter, by which the limits were
chosen.

A frame of the reader's features in, through one hidden layer, the probabilities of its kinds out.
"""

import argparse
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from listening import FRAME, Reader
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
    people,
    two_at_once,
)
from rich.progress import track

HIDDEN = 32
EPOCHS = 5
BATCH = 512
RATE = 2e-3
WARM_UP = 100  # steps
DECAY = 1e-3  # of the weights, in the loss
DROPPED = 0.1  # of the hidden units, at each step
# There are many more frames of one voice than of others: each second one is left out, and counts
# twice.
KEPT_ALONE = 2
WRONG_COUNTS = 2.0  # as much as a frame of one voice
FOLDS = 4
STRANGERS = ("s1", "s2")  # of the digits; s3 is for reporting
# Of eight sounds; two at once are the hardest to tell.
MIXTURE = (ALONE, ALONE, ALONE, TWO, TWO, TWO, FAST, SLOW)
# As in handsfree/hearing/one_voice.py.
AROUND = 16  # frames

_HERE = Path(__file__).resolve().parent
_REPOSITORY = _HERE.parents[1]

Floats = NDArray[np.float32]
Weights = tuple[Floats, Floats, Floats, Floats]


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


def make(recordings: Path, reader: Path, seed: int, number: int) -> Heard:
    """`number` sounds by the people that may be trained on; equal seeds give equal sounds."""
    cast = people(recordings, "tuning", STRANGERS)
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


def together(parts: list[Heard]) -> Heard:
    """All of `parts` as one."""
    names = ("features", "frames", "kinds", "lengths", "folds")
    return Heard(*(np.concatenate([getattr(each, name) for each in parts]) for name in names))


def fit(features: NDArray[np.float16], frames: NDArray[np.int8], seed: int) -> Weights:
    """Train on the frames by Adam (Kingma and Ba, 2015) on the weighted cross-entropy."""
    random = np.random.default_rng(seed)
    chosen = np.flatnonzero((frames != ALONE) | (np.arange(len(frames)) % KEPT_ALONE == 0))
    counts = np.where(frames == ALONE, KEPT_ALONE, WRONG_COUNTS).astype(np.float32)
    some = features[chosen[::5]].astype(np.float32)
    middle, spread = some.mean(axis=0), some.std(axis=0) + np.float32(1e-3)
    inputs, outputs = features.shape[1], len(KINDS)
    weights = [
        random.normal(0, np.sqrt(2 / inputs), (inputs, HIDDEN)).astype(np.float32),
        np.zeros(HIDDEN, np.float32),
        random.normal(0, np.sqrt(1 / HIDDEN), (HIDDEN, outputs)).astype(np.float32),
        np.zeros(outputs, np.float32),
    ]
    mean = [np.zeros_like(each) for each in weights]
    square = [np.zeros_like(each) for each in weights]
    steps = EPOCHS * (len(chosen) // BATCH)
    for step, batch in enumerate(_batches(chosen, random), start=1):
        standard = (features[batch].astype(np.float32) - middle) / spread
        slopes = _slopes(weights, standard, frames[batch], counts[batch], random)
        rate = RATE * min(1, step / WARM_UP) * 0.5 * (1 + np.cos(np.pi * step / steps))
        for each, slope, first, second in zip(weights, slopes, mean, square, strict=True):
            first += 0.1 * (slope - first)
            second += 0.001 * (slope * slope - second)
            unbiased = np.sqrt(second / (1 - 0.999**step)) + 1e-8
            each -= (rate * first / (1 - 0.9**step) / unbiased).astype(np.float32)
    first_layer = weights[0] / spread[:, None]
    return first_layer, weights[1] - middle @ first_layer, weights[2], weights[3]


def _batches(chosen: NDArray[np.int64], random: np.random.Generator) -> Iterator[NDArray[np.int64]]:
    for _ in range(EPOCHS):
        order = random.permutation(chosen)
        for start in range(0, len(order) - BATCH + 1, BATCH):
            yield order[start : start + BATCH]


def _slopes(
    weights: list[Floats],
    inputs: Floats,
    frames: NDArray[np.int8],
    counts: Floats,
    random: np.random.Generator,
) -> tuple[Floats, Floats, Floats, Floats]:
    """The gradient of the loss, in the order of the weights."""
    first, first_bias, second, second_bias = weights
    raw = inputs @ first + first_bias
    kept = (random.random(raw.shape, np.float32) > DROPPED) / np.float32(1 - DROPPED)
    hidden = np.maximum(raw, 0) * kept
    at_outputs = softmax(hidden @ second + second_bias)
    at_outputs[np.arange(len(frames)), frames] -= 1
    at_outputs *= (counts / counts.sum())[:, None]
    at_hidden = (at_outputs @ second.T) * kept * (raw > 0)
    return (
        inputs.T @ at_hidden + DECAY * first,
        at_hidden.sum(axis=0),
        hidden.T @ at_outputs + DECAY * second,
        at_outputs.sum(axis=0),
    )


def softmax(logits: Floats) -> Floats:
    """Probabilities, a row a frame."""
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True), np.float32)


def shares(weights: Weights, features: NDArray[np.float16]) -> Floats:
    """For each kind its largest mean probability over `AROUND` frames on both sides of a frame."""
    first, first_bias, second, second_bias = weights
    hidden = np.maximum(features.astype(np.float32) @ first + first_bias, 0)
    sums = np.cumsum(softmax(hidden @ second + second_bias), axis=0)
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


def write(weights: Weights, out: Path, reader: Path) -> None:
    """The file of the model, and what it was made for: `reader.onnx`, by its SHA-256."""
    out.mkdir(parents=True, exist_ok=True)
    names = ("first", "first_bias", "second", "second_bias")
    path = out / "one-voice.npz"
    np.savez(path, **dict(zip(names, weights, strict=True)))
    made_for = hashlib.sha256((reader / "reader.onnx").read_bytes()).hexdigest()
    file = hashlib.sha256(path.read_bytes()).hexdigest()
    print(json.dumps({"one-voice.npz": file, "reader.onnx": made_for}, indent=2))


def main() -> None:
    """Make sounds, or fit to those that were made."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("what", choices=("make", "fit"))
    parser.add_argument("--recordings", type=Path, default=_REPOSITORY.parent / "shared/data")
    parser.add_argument("--reader", type=Path, default=_REPOSITORY / "models/reader")
    parser.add_argument("--cache", type=Path, default=_HERE / ".cache/one-voice")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--number", type=int, default=1600)
    parser.add_argument("--out", type=Path, default=_REPOSITORY / "models/one-voice")
    parser.add_argument("--held-out", action="store_true")
    chosen = parser.parse_args()
    if chosen.what == "make":
        made = make(chosen.recordings, chosen.reader, chosen.seed, chosen.number)
        chosen.cache.mkdir(parents=True, exist_ok=True)
        names = ("features", "frames", "kinds", "lengths", "folds")
        np.savez(
            chosen.cache / f"{chosen.seed}.npz", **{each: getattr(made, each) for each in names}
        )
        return
    parts = []
    for path in sorted(chosen.cache.glob("*.npz")):
        with np.load(path) as arrays:
            parts.append(Heard(**arrays))
    heard = together(parts)
    if chosen.held_out:
        for line in report(heard, held_out(heard, chosen.seed)):
            print(line)
        return
    write(fit(heard.features, heard.frames, chosen.seed), chosen.out, chosen.reader)


if __name__ == "__main__":
    main()
