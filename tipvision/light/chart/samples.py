"""Draws of a chart's correction that carry its doubt."""

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.models import Model
from tipvision.light.chart.patches import Patches
from tipvision.light.chart.regression import AWAY, DULL_CHROMA, fit_matrix, fit_tone
from tipvision.light.correction import Correction, tone_curve
from tipvision.light.draws import DRAWS

PRINT_SD = 0.004  # of ln(reflectance) of a patch against its edition's value; our estimate
LEVEL_SD = 0.015  # of ln(light) of the chart as a whole: dirt, sheen, its height; our estimate


def samples_of(
    model: Model,
    patches: Patches,
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> Correction:
    """A stack of `DRAWS` corrections about that of a model, as `fit_chart` says; the arguments are
    those that the model was fitted with."""
    rng = np.random.default_rng(0)  # the same photo gives the same numbers
    drawn = [_drawn(rng, len(patches.light), len(greys), len(kept), model) for _ in range(DRAWS)]
    noise, off, shares, print_off, gain = (np.stack(column) for column in zip(*drawn, strict=True))
    noisy = np.maximum(patches.light + noise * patches.error, 1e-5)
    curve, printed = model.curve, reference[kept]
    tones = np.broadcast_to(curve.tone, (DRAWS, 2))
    if curve.bends is not None:
        level = noisy[:, greys] * np.exp(-AWAY[greys] @ curve.shading / curve.tone[0])[:, None]
        tones = fit_tone(level, reference[greys, 1] * np.exp(off), curve.bends)
    true = tone_curve(noisy[:, kept], tones) * np.exp(-AWAY[kept] @ curve.shading)[:, None]
    matrices, _ = fit_matrix(true, printed * np.exp(print_off), model.degree, shares)
    lab = xyz_to_lab(printed)
    dull = np.hypot(lab[:, 1], lab[:, 2]) <= DULL_CHROMA
    missed = np.log(np.maximum(model.predicted[dull], 1e-4) / printed[dull])
    missed = np.clip(missed, -1.0, 1.0)
    spread = np.linalg.cholesky(missed.T @ missed / len(missed) + 1e-10 * np.eye(3))
    gains = np.exp(gain[:, :3] @ spread.T + gain[:, 3:])
    return Correction(gains[..., None] * matrices, model.degree, tones)


def _drawn(
    rng: np.random.Generator, patches: int, greys: int, kept: int, model: Model
) -> tuple[NDArray[np.float64], ...]:
    """One draw of all that is random: noise of the pixels, of the greys as printed, shares of the
    patches, of all patches as printed, and of what the model misses."""
    noise = rng.normal(size=(patches, 3))
    off = rng.normal(0, PRINT_SD, 0 if model.curve.bends is None else greys)
    shares = rng.exponential(size=kept)
    print_off = rng.normal(0, PRINT_SD, (kept, 3))
    gain = np.append(rng.normal(size=3), rng.normal(0, LEVEL_SD))
    return noise, off, shares, print_off, gain
