"""Logistic regression by iteratively reweighted least squares."""

from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.floating[Any]]

_STEPS = 100
_CONVERGED = 1e-10


def fit_logistic(features: Floats, right: Floats, ridge: float) -> tuple[float, Floats]:
    """The intercept and the weights that make `right` (0 or 1, one a row) most likely.

    `ridge` holds the weights of the standardized features near 0, so that a feature which
    happens to separate all of a small sample gets no endless weight. The intercept is free.
    Newton's method on the penalized log-likelihood; see Hastie, Tibshirani, Friedman, "The
    Elements of Statistical Learning", 2nd edition, 4.4.1.
    """
    middle, spread = features.mean(axis=0), features.std(axis=0)
    design = np.column_stack([np.ones(len(features)), (features - middle) / spread])
    penalty = np.diag([0.0, *[ridge] * features.shape[1]])
    weights = np.zeros(design.shape[1])
    for _ in range(_STEPS):
        probability = logistic(design @ weights)
        gradient = design.T @ (right - probability) - penalty @ weights
        curvature = (design.T * (probability * (1 - probability))) @ design + penalty
        step = np.linalg.solve(curvature, gradient)
        weights = weights + step
        if np.abs(step).max() < _CONVERGED:
            break
    plain = weights[1:] / spread
    return float(weights[0] - plain @ middle), plain


def logistic(logit: Floats) -> Floats:
    """1 / (1 + e^-x), without overflow."""
    return np.asarray(0.5 * (1 + np.tanh(logit / 2)))


def calibration_error(probability: Floats, right: Floats, bins: int = 10) -> float:
    """Expected calibration error: mean distance of the share right from the probability, by bin."""
    place = np.minimum((probability * bins).astype(int), bins - 1)
    return sum(
        float(np.mean(place == each))
        * abs(float(np.mean(probability[place == each]) - np.mean(right[place == each])))
        for each in range(bins)
        if np.any(place == each)
    )
