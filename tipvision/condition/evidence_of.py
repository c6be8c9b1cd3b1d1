"""From an attribution to the signs that a technician can look at."""

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.attribution import DOUBT, Attribution
from tipvision.condition.evidence import Evidence, Sign
from tipvision.condition.features import NAMES, wordings
from tipvision.condition.model import Model
from tipvision.measure.coat import COAT_SIGNS

LOOK = "look"  # stands for all that the coat net sees
MOST = 5  # signs: more than one screen holds is not read

AS_SHARES = 2.0  # ratios that are all smaller are written in per cent: 0.03 times says too little


def evidence_of(attribution: Attribution, values: NDArray[np.float64], model: Model) -> Evidence:
    """The `MOST` features that weigh most, and what the rest comes to. What the coat nets see is
    one feature here, the look as a whole.

    values: float64 (f,), in the order of `NAMES`; NaN where a part does not show, which is told
    with the rest.
    """
    seen = dict(zip(NAMES, values.tolist(), strict=True))
    parts = {name: attribution.parts[name] for name in wordings() if not math.isnan(seen[name])}
    if not math.isnan(seen[COAT_SIGNS[0]]):
        parts[LOOK] = sum(attribution.parts[name] for name in COAT_SIGNS)
    ranked = sorted(parts, key=lambda name: -abs(parts[name]))[:MOST]
    pair = (attribution.label, attribution.rival)
    names = ["findings alone" if one == "none" else one.replace("_", " ") for one in pair]
    signs = []
    for name in ranked:
        if name == LOOK:
            text = _of_the_look(attribution, seen, names)
        else:
            text = _of_one(name, seen[name], attribution, model, names)
        signs.append(Sign(text, parts[name]))
    signs.sort(key=lambda sign: sign.against)  # stable: the strongest of each side first
    doubt = attribution.parts[DOUBT]
    rest = attribution.score - doubt - sum(sign.weight for sign in signs)
    return Evidence(names[0], names[1], tuple(signs), rest, doubt, attribution.score)


def _of_one(
    name: str, value: float, attribution: Attribution, model: Model, names: list[str]
) -> str:
    """The value of a feature beside what is usual for both labels."""
    k, wording = NAMES.index(name), wordings()[name]
    pair = (attribution.label, attribution.rival)
    usual = [float(model.medians[model.labels.index(label), k]) for label in pair]
    (ours, mine, theirs), unit = _written([value, *usual], wording.scale)
    text = wording.text.format(ours + unit)
    if mine == theirs:
        return f"{text}; usual is {mine} for both"
    return f"{text}; usual is {mine} for {names[0]}, {theirs} for {names[1]}"


def _of_the_look(attribution: Attribution, seen: Mapping[str, float], names: list[str]) -> str:
    """How much the coat is like either label, as the coat nets see it."""
    pair = (attribution.label, attribution.rival)
    shares = [100.0 / (1.0 + math.exp(-seen[f"coat_{label}"])) for label in pair]
    return (
        f"Its look as a whole is {shares[0]:.0f} % that of {names[0]}, "
        f"{shares[1]:.0f} % that of {names[1]}"
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
