"""Least squares from the light of a chart's patches to their printed colours."""

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart_editions import COLUMNS, ROWS
from tipvision.light.correction import PIVOT, root_terms

TONE_FLOOR = 0.004  # error of a patch's light beside 2 % of it: flare, 8-bit steps; our estimate
# CIELAB chroma of colours as dull as a firing end's: such a patch counts half in a fit, a duller
# one more, and what a fit misses on those up to here stands for what it misses on a nose. Our
# estimate; tried on other lamps, cameras and matters than
# `python -m pipelines.bench.light_simulation` reports, and on ten photos of real charts.
DULL_CHROMA = 25.0
LEAST_SLOPE = 0.25  # of a tone curve anywhere: less is no camera's. Our estimate
_COLUMN, _ROW = np.meshgrid(np.arange(COLUMNS), np.arange(ROWS))
AWAY = np.stack([_COLUMN - (COLUMNS - 1) / 2, _ROW - (ROWS - 1) / 2], -1).reshape(-1, 2)
"""float64 (24, 2), columns and rows of each patch from the chart's middle."""


def weights_of(reference: NDArray[np.float64]) -> NDArray[np.float64]:
    """float64 (n, 3): slope of CIELAB's cube root at each of X, Y, Z, so that an error counts for
    what it does to the colour, in dark patches as in light ones."""
    weights: NDArray[np.float64] = (reference / D65_WHITE) ** (-2 / 3) / D65_WHITE
    return weights


def dull_shares(reference: NDArray[np.float64]) -> NDArray[np.float64]:
    """float64 (n,), 0 to 1: how much a printed colour, XYZ (n, 3) under D65, counts for one that is
    as dull as a firing end's. A lamp far from daylight leaves no matrix that serves all colours."""
    lab = xyz_to_lab(reference)
    return np.asarray(1.0 / (1.0 + (lab[:, 1] ** 2 + lab[:, 2] ** 2) / DULL_CHROMA**2))


def fit_matrix(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    degree: int,
    shares: NDArray[np.float64] | None = None,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Weighted least squares of XYZ on root-polynomial terms.

    light:     float64 (n, 3), linear RGB after the tone curve.
    reference: float64 (n, 3), XYZ under D65, 2° observer.
    degree:    of the terms, 1, 2 or 3.
    shares:    float64 (n,), weight of each patch beside those of `weights_of` and `dull_shares`;
               default all alike.
    Returns the matrix, float64 (3, k), and XYZ of each patch as the others predict it,
    float64 (n, 3), by the leverages (leave one out without fitting again).
    """
    terms = root_terms(light, degree)
    weights = weights_of(reference) * np.sqrt(dull_shares(reference))[:, None]
    if shares is not None:
        weights = weights * np.sqrt(shares)[:, None]
    matrix, predicted = np.empty((3, terms.shape[1])), np.empty_like(reference)
    for k in range(3):
        rows = terms * weights[:, k : k + 1]
        left, values, right = np.linalg.svd(rows, full_matrices=False)
        aims = reference[:, k] * weights[:, k]
        matrix[k] = right.T @ (left.T @ aims / values)
        leverage = np.minimum((left**2).sum(axis=1), 0.999)
        missed = reference[:, k] - terms @ matrix[k]
        predicted[:, k] = reference[:, k] - missed / (1.0 - leverage)
    return matrix, predicted


def fit_tone(
    greys: NDArray[np.float64], reference: NDArray[np.float64], bends: bool
) -> NDArray[np.float64]:
    """The tone curve under which the grey patches are as light as they are printed.

    In logarithms the curve is linear in its unknowns; each channel has its own gain and all share
    one curve, as cameras set tone after white balance.

    greys:     float64 (n, 3), nominal linear RGB of the neutral patches, above 0.
    reference: float64 (n,), their Y.
    bends:     whether the curve has a bend beside its exponent.
    Returns float64 (2,), exponent and bend as in `Correction`; the bend is 0 where the curve would
    not rise everywhere.
    """
    u = np.log(np.maximum(greys, 1e-4) / PIVOT)
    error = np.sqrt(0.02**2 + (TONE_FLOOR / np.maximum(greys, 1e-4)) ** 2).ravel()
    gains = np.tile(-np.eye(3), (len(greys), 1))
    aims = np.repeat(np.log(reference), 3)
    for bend in (True, False) if bends else (False,):
        columns = [u.ravel(), (u**2).ravel()] if bend else [u.ravel()]
        rows = np.column_stack([*columns, gains]) / error[:, None]
        found = np.linalg.lstsq(rows, aims / error, rcond=None)[0]
        tone = np.array([found[0], found[1] if bend else 0.0])
        if not bend or (tone[0] + 2 * tone[1] * np.array([u.min(), 0.7 * -np.log(PIVOT)])).min() > (
            LEAST_SLOPE
        ):
            return np.array([max(tone[0], LEAST_SLOPE), tone[1]])
    raise AssertionError("the curve without a bend was returned")


def fit_shading(
    light: NDArray[np.float64], reference: NDArray[np.float64], away: NDArray[np.float64]
) -> NDArray[np.float64]:
    """How the light falls off across the chart: a plane in ln(light).

    Colours and plane are fitted in turn, with a linear matrix and the middle of the patches.

    light:     float64 (n, 3), linear RGB after the tone curve.
    reference: float64 (n, 3), XYZ under D65.
    away:      float64 (n, 2), columns and rows from the chart's middle.
    Returns float64 (2,), change of ln(light) a column and a row.
    """
    slopes = np.zeros(2)
    plane = np.column_stack([np.ones(len(away)), away])
    for _ in range(4):
        level = light * np.exp(-away @ slopes)[:, None]
        matrix, _ = fit_matrix(level, reference, 2)
        ratio = np.log(np.maximum(root_terms(level, 2) @ matrix[1], 1e-4) / reference[:, 1])
        counted = np.abs(ratio - np.median(ratio)) <= 3 * 1.4826 * np.median(
            np.abs(ratio - np.median(ratio))
        )
        weight = (counted * np.minimum(reference[:, 1] / 0.1, 1.0))[:, None]
        slopes = slopes + np.linalg.lstsq(plane * weight, ratio * weight[:, 0], rcond=None)[0][1:]
    return slopes
