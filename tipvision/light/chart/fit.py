"""The light of a photo from the patches of its 24-patch chart."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tipvision.light.chart.editions import NEUTRALS, Edition
from tipvision.light.chart.models import Model, all_models
from tipvision.light.chart.patches import Patches
from tipvision.light.chart.regression import dull_shares
from tipvision.light.chart.samples import samples_of
from tipvision.light.correction import Correction

Verdict = Literal["good", "usable", "refused"]

# A richer model must predict patches by this much better than a plainer one; our estimate.
PLAINER_SHARE = 1.05


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
    models = all_models(patches.light, edition.xyz, kept, greys)
    shares = dull_shares(edition.xyz[kept])
    misses = [float(np.average(model.misses, weights=shares)) for model in models]
    near = [
        m for m, miss in zip(models, misses, strict=True) if miss <= PLAINER_SHARE * min(misses)
    ]
    chosen = min(near, key=lambda model: model.unknowns)
    mean, most = float(chosen.misses.mean()), float(chosen.misses.max())
    verdict, reason = _judge(mean, most)
    if verdict == "refused":
        return _refused(reason, left_out, chosen)
    return ChartFit(
        verdict,
        reason,
        Correction(chosen.matrix, chosen.degree, chosen.curve.tone),
        samples_of(chosen, patches, edition.xyz, kept, greys),
        chosen.name,
        mean,
        most,
        left_out,
        chosen.curve.shading,
    )


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


def _refused(reason: str, left_out: NDArray[np.bool_], model: Model | None = None) -> ChartFit:
    if model is None:
        return ChartFit("refused", reason, None, None, "", np.inf, np.inf, left_out, np.zeros(2))
    mean, most = float(model.misses.mean()), float(model.misses.max())
    return ChartFit(
        "refused", reason, None, None, model.name, mean, most, left_out, model.curve.shading
    )


@cache
def _limits() -> dict[str, Any]:
    text = resources.files("tipvision.light.chart").joinpath("limits.toml").read_text("utf-8")
    return tomllib.loads(text)
