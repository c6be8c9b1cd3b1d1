"""The light of a photo from the patches of its 24-patch chart."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart_editions import NEUTRALS, Edition
from tipvision.light.chart_regression import (
    AWAY,
    DULL_CHROMA,
    dull_shares,
    fit_matrix,
    fit_shading,
    fit_tone,
)
from tipvision.light.correction import Correction, tone_curve
from tipvision.light.draws import DRAWS
from tipvision.light.read_chart import Patches

Verdict = Literal["good", "usable", "refused"]

# A richer model must predict patches by this much better than a plainer one; our estimate.
PLAINER_SHARE = 1.05
PRINT_SD = 0.004  # of ln(reflectance) of a patch against its edition's value; our estimate
LEVEL_SD = 0.015  # of ln(light) of the chart as a whole: dirt, sheen, its height; our estimate
_NO_TONE = np.array([1.0, 0.0])
BENDS = (None, False, True)
"""Whether a tone curve bends; None stands for no tone curve."""
DEGREES = (1, 2, 3)


@dataclass(frozen=True)
class ChartFit:
    """The correction that a chart asks for, and how well it holds.

    verdict:    "good", "usable" or "refused"; `correction` and `samples` are None when refused.
    reason:     one line that says why it is not good, or "".
    correction: nominal linear RGB to XYZ under D65.
    samples:    a stack of 64 draws of it.
    model:      the model that was chosen, such as "root-polynomial 2, tone curve".
    mean, most: CIEDE2000 of patches as the others predict them.
    left_out:   bool (24,), patches that were clipped, hidden or too small.
    shading:    float64 (2,), change of ln(light) a column and a row, taken out of the patches.
    """

    verdict: Verdict
    reason: str
    correction: Correction | None
    samples: Correction | None
    model: str
    mean: float
    most: float
    left_out: NDArray[np.bool_]
    shading: NDArray[np.float64]


@dataclass(frozen=True)
class _Curve:
    """What is undone before colours are fitted: a tone curve and a fall-off of light."""

    bends: bool | None  # None: no tone curve
    tone: NDArray[np.float64]
    shading: NDArray[np.float64]


@dataclass(frozen=True)
class _Model:
    """A model as fitted: its curve and what it makes of each patch."""

    degree: int
    curve: _Curve
    matrix: NDArray[np.float64]
    predicted: NDArray[np.float64]
    misses: NDArray[np.float64]


def fit_chart(patches: Patches, edition: Edition) -> ChartFit:
    """Fit how camera and lamp turn colours into RGB, and undo it.

    Linear and root-polynomial maps of degree 2 and 3, each with no tone curve, an exponent, or an
    exponent and a bend, are fitted; the plainest that predicts each patch from the others nearly as
    well as the best is taken. Dull patches, as firing ends are, count most. The light's fall-off
    across the chart is taken out first; at the chart's middle the correction is exact. Clipped
    patches are left out.

    The samples are a Bayesian bootstrap over the patches (Rubin 1981: from memory, unchecked), with
    the pixels' noise, the tolerance of the print, and what the model misses on patches as dull as
    a firing end.
    """
    limits = _limits()["patches"]
    left_out = ~np.isfinite(patches.light).all(axis=1) | (patches.clipped > limits["clipped"])
    left_out |= np.nan_to_num(patches.light, nan=-1.0).max(axis=1) <= 0.0
    kept = np.flatnonzero(~left_out)
    greys = np.intersect1d(kept, np.arange(24)[NEUTRALS])
    if len(kept) < limits["least"] or len(greys) < limits["neutrals"]:
        return _refused(
            f"{int(left_out.sum())} of its 24 patches are clipped or hidden; take the photo "
            "darker, with the whole chart in it.",
            left_out,
        )
    models = _models(patches.light, edition.xyz, kept, greys)
    shares = dull_shares(edition.xyz[kept])
    misses = [float(np.average(model.misses, weights=shares)) for model in models]
    near = [
        m for m, miss in zip(models, misses, strict=True) if miss <= PLAINER_SHARE * min(misses)
    ]
    chosen = min(near, key=_unknowns)
    mean, most = float(chosen.misses.mean()), float(chosen.misses.max())
    verdict, reason = _judge(mean, most)
    if verdict == "refused":
        return _refused(reason, left_out, chosen)
    return ChartFit(
        verdict,
        reason,
        Correction(chosen.matrix, chosen.degree, chosen.curve.tone),
        _samples(chosen, patches, edition.xyz, kept, greys),
        _name(chosen),
        mean,
        most,
        left_out,
        chosen.curve.shading,
    )


def _models(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> list[_Model]:
    """Every curve with every degree. All curves at once: the calls cost more than so few
    numbers."""
    tones, shadings = _curves(light, reference, kept, greys)
    curves = [_Curve(*curve) for curve in zip(BENDS, tones, shadings, strict=True)]
    true = tone_curve(light[kept], tones) * np.exp(-shadings @ AWAY[kept].T)[..., None]
    printed = xyz_to_lab(reference[kept])
    models = []
    for degree in DEGREES:
        matrices, predicted = fit_matrix(true, reference[kept], degree)
        misses = ciede2000(xyz_to_lab(predicted), printed)
        fits = zip(curves, matrices, predicted, misses, strict=True)
        models += [_Model(degree, *fit) for fit in fits]
    return models


def _curves(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """A tone curve (2,) and the fall-off (2,) under it, each for all of `BENDS`: (3, 2)."""
    tones, shadings = np.stack([_NO_TONE] * len(BENDS)), np.zeros((len(BENDS), 2))
    for _ in range(2):
        # shading is of true light; near the tone curve's middle an exponent scales it
        falling = np.exp(-shadings @ AWAY[greys].T / tones[:, :1])[..., None]
        tones = np.stack(
            [
                _NO_TONE if bends is None else fit_tone(level, reference[greys, 1], bends)
                for bends, level in zip(BENDS, light[greys] * falling, strict=True)
            ]
        )
        shadings = fit_shading(tone_curve(light[kept], tones), reference[kept], AWAY[kept])
    return tones, shadings


def _samples(
    model: _Model,
    patches: Patches,
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> Correction:
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
    rng: np.random.Generator, patches: int, greys: int, kept: int, model: _Model
) -> tuple[NDArray[np.float64], ...]:
    """One draw of all that is random: noise of the pixels, of the greys as printed, shares of the
    patches, of all patches as printed, and of what the model misses."""
    noise = rng.normal(size=(patches, 3))
    off = rng.normal(0, PRINT_SD, 0 if model.curve.bends is None else greys)
    shares = rng.exponential(size=kept)
    print_off = rng.normal(0, PRINT_SD, (kept, 3))
    gain = np.append(rng.normal(size=3), rng.normal(0, LEVEL_SD))
    return noise, off, shares, print_off, gain


def _judge(mean: float, most: float) -> tuple[Verdict, str]:
    limits = _limits()
    for verdict in ("good", "usable"):
        if mean <= limits[verdict]["mean"] and most <= limits[verdict]["most"]:
            if verdict == "good":
                return "good", ""
            return "usable", f"its patches miss their printed colours by {mean:.1f} on average."
    return "refused", (
        f"its patches miss their printed colours by {mean:.1f} on average, {most:.1f} at most; "
        "keep shine and shadow off the chart and take the photo again."
    )


def _refused(reason: str, left_out: NDArray[np.bool_], model: _Model | None = None) -> ChartFit:
    if model is None:
        return ChartFit("refused", reason, None, None, "", np.inf, np.inf, left_out, np.zeros(2))
    mean, most = float(model.misses.mean()), float(model.misses.max())
    return ChartFit(
        "refused", reason, None, None, _name(model), mean, most, left_out, model.curve.shading
    )


def _unknowns(model: _Model) -> int:
    """How many numbers a model has: a tone curve one or two, a degree three or more a channel."""
    bends = model.curve.bends
    return model.matrix.size + (0 if bends is None else 1 + bends)


def _name(model: _Model) -> str:
    terms = "linear" if model.degree == 1 else f"root-polynomial {model.degree}"
    return terms if model.curve.bends is None else f"{terms}, tone curve"


@cache
def _limits() -> dict[str, Any]:
    text = resources.files("tipvision.light").joinpath("chart_limits.toml").read_text("utf-8")
    return tomllib.loads(text)
