"""Least squares from the light of a chart's patches to their printed colours."""

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.editions import COLUMNS, ROWS
from tipvision.light.correction import PIVOT, root_terms
from tipvision.quantiles import MAD_TO_SD

TONE_FLOOR = 0.004  # error of a patch's light beside 2 % of it: flare, 8-bit steps; our estimate
# CIELAB chroma of colours as dull as a firing end's: such a patch counts half in a fit, a duller
# one more, and what a fit misses on those up to here stands for what it misses on a nose. Our
# estimate; tried on other lamps, cameras and matters than
# `python -m pipelines.bench.light_simulation` reports, and on ten photos of real charts.
DULL_CHROMA = 25.0
LEAST_SLOPE = 0.25  # of a tone curve anywhere: less is no camera's. Our estimate
_NO_ZERO = 1e-300  # beside it no number changes; without it what cannot be solved would raise
_COLUMN, _ROW = np.meshgrid(np.arange(COLUMNS), np.arange(ROWS))
AWAY = np.stack([_COLUMN - (COLUMNS - 1) / 2, _ROW - (ROWS - 1) / 2], -1).reshape(-1, 2)
"""float64 (24, 2), columns and rows of each patch from the chart's middle."""


def weights_of(reference: NDArray[np.float64]) -> NDArray[np.float64]:
    """float64 (..., n, 3): slope of CIELAB's cube root at each of X, Y, Z, so that an error counts
    for what it does to the colour, in dark patches as in light ones."""
    weights: NDArray[np.float64] = (reference / D65_WHITE) ** (-2 / 3) / D65_WHITE
    return weights


def dull_shares(reference: NDArray[np.float64]) -> NDArray[np.float64]:
    """float64 (..., n), 0 to 1: how much a printed colour, XYZ (..., n, 3) under D65, counts for
    one that is as dull as a firing end's. A lamp far from daylight leaves no matrix that serves all
    colours."""
    lab = xyz_to_lab(reference)
    return np.asarray(1.0 / (1.0 + (lab[..., 1] ** 2 + lab[..., 2] ** 2) / DULL_CHROMA**2))


def fit_matrix(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    degree: int,
    shares: NDArray[np.float64] | None = None,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Weighted least squares of XYZ on root-polynomial terms, for one chart or a stack of them.

    light:     float64 (..., n, 3), linear RGB after the tone curve.
    reference: float64 (..., n, 3), XYZ under D65, 2° observer.
    degree:    of the terms, 1, 2 or 3.
    shares:    float64 (..., n), weight of each patch beside those of `weights_of` and
               `dull_shares`; default all alike.
    Returns the matrix, float64 (..., 3, k), and XYZ of each patch as the others predict it,
    float64 (..., n, 3), by the leverages (leave one out without fitting again).
    """
    terms = root_terms(light, degree)
    weights = weights_of(reference) * np.sqrt(dull_shares(reference))[..., None]
    if shares is not None:
        weights = weights * np.sqrt(shares)[..., None]
    aims = np.swapaxes(reference, -1, -2)
    matrix, leverage = _least_squares(terms[..., None, :, :], aims, np.swapaxes(weights, -1, -2))
    missed = aims - matrix @ np.swapaxes(terms, -1, -2)
    predicted = aims - missed / (1.0 - np.minimum(leverage, 0.999))
    return matrix, np.swapaxes(predicted, -1, -2)


def _least_squares(
    terms: NDArray[np.float64], aims: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Coefficients (..., k) of terms (..., n, k), n ≥ k, that meet aims (..., n), each row times
    its weight (..., n); and the rows' leverages (..., n)."""
    q, r = np.linalg.qr(terms * weights[..., None])
    r = r + _NO_ZERO * np.eye(r.shape[-1])
    found = np.linalg.solve(r, np.swapaxes(q, -1, -2) @ (aims * weights)[..., None])
    return found[..., 0], np.asarray((q**2).sum(axis=-1))


def fit_tone(
    greys: NDArray[np.float64], reference: NDArray[np.float64], bends: bool
) -> NDArray[np.float64]:
    """The tone curve under which the grey patches are as light as they are printed, of one chart or
    of each of a stack.

    In logarithms the curve is linear in its unknowns; each channel has its own gain and all share
    one curve, as cameras set tone after white balance.

    greys:     float64 (..., n, 3), nominal linear RGB of the neutral patches, above 0.
    reference: float64 (..., n), their Y.
    bends:     whether the curve has a bend beside its exponent.
    Returns float64 (..., 2), exponent and bend as in `Correction`; the bend is 0 where the curve
    would not rise everywhere.
    """
    seen = np.maximum(greys, 1e-4)
    u = np.log(seen / PIVOT).reshape(*greys.shape[:-2], -1)
    error = np.sqrt(0.02**2 + (TONE_FLOOR / seen) ** 2).reshape(u.shape)
    gains = np.broadcast_to(np.tile(-np.eye(3), (greys.shape[-2], 1)), (*u.shape, 3))
    aims = np.repeat(np.log(reference), 3, axis=-1)

    def solved(*columns: NDArray[np.float64]) -> NDArray[np.float64]:
        rows = np.concatenate([np.stack(columns, axis=-1), gains], axis=-1) / error[..., None]
        inverse = np.linalg.pinv(rows, rcond=np.finfo(np.float64).eps * u.shape[-1])
        found = (inverse @ (aims / error)[..., None])[..., 0]
        return np.asarray(found[..., : len(columns)])

    exponent = np.maximum(solved(u)[..., 0], LEAST_SLOPE)
    straight = np.stack([exponent, np.zeros_like(exponent)], axis=-1)
    if not bends:
        return straight
    bent = solved(u, u**2)
    slopes = [bent[..., 0] + 2 * bent[..., 1] * at for at in (u.min(axis=-1), 0.7 * -np.log(PIVOT))]
    rises = np.minimum(*slopes) > LEAST_SLOPE
    bent[..., 0] = np.maximum(bent[..., 0], LEAST_SLOPE)
    return np.where(rises[..., None], bent, straight)


def fit_shading(
    light: NDArray[np.float64], reference: NDArray[np.float64], away: NDArray[np.float64]
) -> NDArray[np.float64]:
    """How the light falls off across the chart, of one chart or of each of a stack: a plane in
    ln(light).

    Colours and plane are fitted in turn, with a linear matrix and the middle of the patches.

    light:     float64 (..., n, 3), linear RGB after the tone curve.
    reference: float64 (n, 3), XYZ under D65.
    away:      float64 (n, 2), columns and rows from the chart's middle.
    Returns float64 (..., 2), change of ln(light) a column and a row.
    """
    slopes = np.zeros((*light.shape[:-2], 2))
    plane = np.column_stack([np.ones(len(away)), away])
    printed = reference[:, 1]
    weights = weights_of(reference)[:, 1] * np.sqrt(dull_shares(reference))
    for _ in range(4):
        terms = root_terms(light * np.exp(-slopes @ away.T)[..., None], 2)
        row, _ = _least_squares(terms, printed, weights)
        ratio = np.log(np.maximum((terms @ row[..., None])[..., 0], 1e-4) / printed)
        off = np.abs(ratio - np.median(ratio, axis=-1, keepdims=True))
        counted = off <= 3 * MAD_TO_SD * np.median(off, axis=-1, keepdims=True)
        step, _ = _least_squares(plane, ratio, counted * np.minimum(printed / 0.1, 1.0))
        slopes = slopes + step[..., 1:]
    return slopes
