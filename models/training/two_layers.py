"""A network of two layers in NumPy, fitted to frames of the reader's features.

Frames of 384 features in, through one hidden layer, the probabilities of the kinds out. Needs no
GPU and no torch. `one_voice.py` and `broken_off.py` fit theirs by it.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

BATCH = 512
RATE = 2e-3
WARM_UP = 100  # steps
DROPPED = 0.1  # of the hidden units, at each step

Floats = NDArray[np.float32]
Weights = tuple[Floats, Floats, Floats, Floats]
NAMES = ("first", "first_bias", "second", "second_bias")


@dataclass(frozen=True, slots=True)
class Shape:
    """How large a network is, and how it is fitted."""

    kinds: int
    hidden: int
    epochs: int
    decay: float  # of the weights, in the loss


def fit(
    features: NDArray[np.float16],
    kinds: NDArray[np.int8],
    counts: Floats,
    chosen: NDArray[np.int64],
    shape: Shape,
    seed: int,
) -> Weights:
    """Train by Adam (Kingma and Ba, 2015) on the weighted cross-entropy.

    `features` (F, 384) and `kinds` (F,) are of all frames; those `chosen` are trained on, each as
    much as its `counts` (F,).
    """
    random = np.random.default_rng(seed)
    some = features[chosen[::5]].astype(np.float32)
    middle, spread = some.mean(axis=0), some.std(axis=0) + np.float32(1e-3)
    inputs = features.shape[1]
    weights = [
        random.normal(0, np.sqrt(2 / inputs), (inputs, shape.hidden)).astype(np.float32),
        np.zeros(shape.hidden, np.float32),
        random.normal(0, np.sqrt(1 / shape.hidden), (shape.hidden, shape.kinds)).astype(np.float32),
        np.zeros(shape.kinds, np.float32),
    ]
    mean = [np.zeros_like(each) for each in weights]
    square = [np.zeros_like(each) for each in weights]
    steps = shape.epochs * (len(chosen) // BATCH)
    for step, batch in enumerate(_batches(chosen, shape.epochs, random), start=1):
        standard = (features[batch].astype(np.float32) - middle) / spread
        slopes = _slopes(weights, standard, kinds[batch], counts[batch], shape.decay, random)
        rate = RATE * min(1, step / WARM_UP) * 0.5 * (1 + np.cos(np.pi * step / steps))
        for each, slope, first, second in zip(weights, slopes, mean, square, strict=True):
            first += 0.1 * (slope - first)
            second += 0.001 * (slope * slope - second)
            unbiased = np.sqrt(second / (1 - 0.999**step)) + 1e-8
            each -= (rate * first / (1 - 0.9**step) / unbiased).astype(np.float32)
    first_layer = weights[0] / spread[:, None]
    return first_layer, weights[1] - middle @ first_layer, weights[2], weights[3]


def _batches(
    chosen: NDArray[np.int64], epochs: int, random: np.random.Generator
) -> Iterator[NDArray[np.int64]]:
    for _ in range(epochs):
        order = random.permutation(chosen)
        for start in range(0, len(order) - BATCH + 1, BATCH):
            yield order[start : start + BATCH]


def _slopes(
    weights: list[Floats],
    inputs: Floats,
    kinds: NDArray[np.int8],
    counts: Floats,
    decay: float,
    random: np.random.Generator,
) -> tuple[Floats, Floats, Floats, Floats]:
    """The gradient of the loss, in the order of the weights."""
    first, first_bias, second, second_bias = weights
    raw = inputs @ first + first_bias
    kept = (random.random(raw.shape, np.float32) > DROPPED) / np.float32(1 - DROPPED)
    hidden = np.maximum(raw, 0) * kept
    at_outputs = _softmax(hidden @ second + second_bias)
    at_outputs[np.arange(len(kinds)), kinds] -= 1
    at_outputs *= (counts / counts.sum())[:, None]
    at_hidden = (at_outputs @ second.T) * kept * (raw > 0)
    return (
        inputs.T @ at_hidden + decay * first,
        at_hidden.sum(axis=0),
        hidden.T @ at_outputs + decay * second,
        at_outputs.sum(axis=0),
    )


def probabilities(weights: Weights, features: NDArray[np.float16]) -> Floats:
    """(F, kinds) for `features` (F, 384)."""
    first, first_bias, second, second_bias = weights
    hidden = np.maximum(features.astype(np.float32) @ first + first_bias, 0)
    return _softmax(hidden @ second + second_bias)


def _softmax(logits: Floats) -> Floats:
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True), np.float32)


def write(weights: Weights, file: Path, reader: Path) -> None:
    """Write the model, and print its SHA-256 and that of the `reader.onnx` it was made for."""
    file.parent.mkdir(parents=True, exist_ok=True)
    np.savez(file, **dict(zip(NAMES, weights, strict=True)))
    made_for = hashlib.sha256((reader / "reader.onnx").read_bytes()).hexdigest()
    made = hashlib.sha256(file.read_bytes()).hexdigest()
    print(json.dumps({file.name: made, "reader.onnx": made_for}, indent=2))
