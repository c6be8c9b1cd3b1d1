"""What parts an answer from the next best one, as sentences with the numbers behind them."""

import math

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.attribution import DOUBT, Attribution
from tipvision.condition.features import NAMES, wordings
from tipvision.condition.model import Model

AGAINST = "Against it: "  # how a sentence begins that speaks against the answer
MOST = 5  # sentences about single features: more than one screen holds is not read

AS_SHARES = 2.0  # ratios that are all smaller are written in per cent: 0.03 times says too little


def evidence_for(
    attribution: Attribution, values: NDArray[np.float64], model: Model
) -> tuple[str, ...]:
    """One sentence for each of the features that weigh most, those that speak for the answer first
    and those against it marked as such, and one that says what the rest comes to; the numbers in
    brackets sum to the score but for their rounding.

    values: float64 (f,), in the order of `NAMES`; NaN where a part does not show, which is told
    with the rest.
    """
    parts = attribution.parts
    seen = [n for k, n in enumerate(NAMES) if n in wordings() and not np.isnan(values[k])]
    ranked = sorted(seen, key=lambda name: -abs(parts[name]))[:MOST]
    ranked.sort(key=lambda name: _is_against(parts[name]))  # stable: the strongest of each first
    names = [name.replace("_", " ") for name in (attribution.label, attribution.rival)]
    rest = attribution.score - parts[DOUBT] - sum(parts[name] for name in ranked)
    return (
        *(_sentence(name, attribution, values, model, names) for name in ranked),
        f"All else comes to {_weight(rest)}, the doubt in the light to {_weight(parts[DOUBT])}: "
        f"{_weight(attribution.score)} in all for {names[0]} against {names[1]}, as ln odds.",
    )


def _sentence(
    name: str,
    attribution: Attribution,
    values: NDArray[np.float64],
    model: Model,
    names: list[str],
) -> str:
    k, wording = NAMES.index(name), wordings()[name]
    pair = (attribution.label, attribution.rival)
    usual = [float(model.medians[model.labels.index(label), k]) for label in pair]
    (ours, mine, theirs), unit = _written([float(values[k]), *usual], wording.scale)
    text = wording.text.format(ours + unit)
    if _is_against(attribution.parts[name]):
        text = f"{AGAINST}{text[:1].lower()}{text[1:]}"
    return (
        f"{text}; usual is {mine} for {names[0]}, {theirs} for {names[1]}"
        f" ({_weight(attribution.parts[name])})."
    )


def _written(values: list[float], scale: str) -> tuple[list[str], str]:
    """The values of a feature by the scale of its wording, and the unit that follows the first."""
    match scale:
        case "level":
            return [f"{value:.0f}" for value in values], ""
        case "percent":
            return [f"{100.0 * value:.0f}" for value in values], ""
        case "times":
            ratios = [math.exp(value) for value in values]
            if max(ratios) < AS_SHARES:
                return [f"{100.0 * ratio:.0f}" for ratio in ratios], " %"
            return [_number(ratio) for ratio in ratios], " times"
        case "specks" | "texture" | "evenness":
            factor, floor = _LOGARITHMS[scale]
            return [_number(factor * max(0.0, math.exp(v) - floor)) for v in values], ""
        case _:
            return [_number(value) for value in values], ""


_LOGARITHMS = {"specks": (100.0, 0.003), "texture": (1.0, 0.1), "evenness": (1.0, 0.3)}
"""What a value is multiplied with, and what was added to it before its logarithm was taken."""


def _number(value: float) -> str:
    """At most one decimal, and none from 10 up: the photo is no surer than that."""
    return f"{value:.0f}" if abs(value) >= 9.95 else f"{round(value, 1) + 0.0:.1f}"


def _weight(part: float) -> str:
    return f"{round(part, 1) + 0.0:+.1f}"


def _is_against(part: float) -> bool:
    return round(part, 1) < 0.0
