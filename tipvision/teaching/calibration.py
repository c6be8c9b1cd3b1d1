"""Probabilities that mean what they say: sharpened and shifted on plugs that were held out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from tipvision.condition.curves import Array

SHIFT_PULL = 5.0  # rows' worth of doubt in the shifts


@dataclass(frozen=True)
class Calibration:
    """ln probabilities times `sharpness` plus `shifts`, float64 (c,), which sum to 0."""

    sharpness: float
    shifts: Array


def calibrated(log_chances: Array, truth: NDArray[np.int64]) -> Calibration:
    """Sharpness and shifts that make held-out ln probabilities (r, c) likeliest for the truth."""
    count = log_chances.shape[1]

    def cost(parameters: Array) -> float:
        scores = np.exp(parameters[0]) * log_chances + np.append(parameters[1:], 0.0)
        peak = scores.max(axis=1, keepdims=True)
        norm = np.log(np.exp(scores - peak).sum(axis=1)) + peak[:, 0]
        likely = scores[np.arange(len(truth)), truth] - norm
        return float(-likely.sum() + SHIFT_PULL * (parameters[1:] ** 2).sum())

    best = minimize(cost, np.zeros(count), method="L-BFGS-B").x
    shifts = np.append(best[1:], 0.0)
    return Calibration(float(np.exp(best[0])), shifts - shifts.mean())


def sharpened(log_chances: Array, calibration: Calibration) -> Array:
    """Calibrated ln probabilities (r, c)."""
    scores = calibration.sharpness * log_chances + calibration.shifts
    peak = scores.max(axis=1, keepdims=True)
    norm = np.log(np.exp(scores - peak).sum(axis=1, keepdims=True)) + peak
    return np.asarray(scores - norm)
