"""What parts an answer from the next best one, as sentences with the numbers behind them."""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.attribution import DOUBT, Attribution
from tipvision.condition.features import NAMES, wordings
from tipvision.condition.model import Model

MOST = 5  # sentences about single features: more than one screen holds is not read

_SHOWN: dict[str, Callable[[float], str]] = {
    "level": lambda value: f"{value:.0f}",
    "plain": lambda value: f"{value:.1f}",
    "percent": lambda value: f"{100 * value:.0f}",
    "times": lambda value: f"{math.exp(value):.2f}",
    "specks": lambda value: f"{100 * max(0.0, math.exp(value) - 0.003):.1f}",
    "texture": lambda value: f"{max(0.0, math.exp(value) - 0.1):.1f}",
    "evenness": lambda value: f"{max(0.0, math.exp(value) - 0.3):.1f}",
}
"""How a feature is written, by the scale of its wording."""


def evidence_for(
    attribution: Attribution, values: NDArray[np.float64], model: Model
) -> tuple[str, ...]:
    """One sentence for each of the features that weigh most, for or against, and one that says
    what the rest comes to; the numbers in brackets sum to the score but for their rounding.

    values: float64 (f,), in the order of `NAMES`; NaN where a part does not show, which is told
    with the rest.
    """
    parts = attribution.parts
    seen = [n for k, n in enumerate(NAMES) if n in wordings() and not np.isnan(values[k])]
    ranked = sorted(seen, key=lambda name: -abs(parts[name]))[:MOST]
    names = [name.replace("_", " ") for name in (attribution.label, attribution.rival)]
    rest = attribution.score - parts[DOUBT] - sum(parts[name] for name in ranked)
    return (
        *(_sentence(name, attribution, values, model, names) for name in ranked),
        f"All else comes to {rest:+.1f}, the doubt in the light to {parts[DOUBT]:+.1f}: "
        f"{attribution.score:+.1f} in all for {names[0]} against {names[1]}, as ln odds.",
    )


def _sentence(
    name: str,
    attribution: Attribution,
    values: NDArray[np.float64],
    model: Model,
    names: list[str],
) -> str:
    k, wording = NAMES.index(name), wordings()[name]
    shown = _SHOWN[wording.scale]
    ours, theirs = (
        shown(float(model.medians[model.labels.index(label), k]))
        for label in (attribution.label, attribution.rival)
    )
    return (
        f"{wording.text.format(shown(float(values[k])))}; usual is {ours} for {names[0]}, {theirs} "
        f"for {names[1]} ({attribution.parts[name]:+.1f})."
    )
