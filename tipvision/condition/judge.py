"""From a measurement to a condition: scores averaged over the light, calibrated, and their set."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.attribution import Attribution, attributed
from tipvision.condition.condition import CONDITIONS, LABELS, Condition
from tipvision.condition.curves import averaged
from tipvision.condition.detectors import describes_alone, detected
from tipvision.condition.evidence_of import evidence_of
from tipvision.condition.features import NAMES, Features, features_of
from tipvision.condition.model import Model
from tipvision.condition.retake import AGAIN
from tipvision.condition.sets import allowed
from tipvision.measure.bands import load_bands
from tipvision.measure.measurement import Measurement
from tipvision.record.reason import Reason, reason

BLACKS = frozenset({"dry_black", "wet_black"})
UNHEATED = ("normal", "unused")


@dataclass(frozen=True)
class Judgement:
    """What a model says of features.

    probabilities: calibrated, over `LABELS`. possible: as in `Condition`. findings: over
    `FINDINGS`. heated: a sign of heat shows. outside: no plug that the model knows looks like this.
    attribution: of the likeliest label against the next.
    """

    probabilities: Mapping[str, float]
    possible: tuple[str, ...]
    findings: Mapping[str, float | None]
    heated: bool
    outside: bool
    attribution: Attribution


def judge(measurement: Measurement, model: Model, again: str = AGAIN) -> Condition:
    """Probabilities of the conditions, the answers allowed, and why if there are several.

    Each draw of the light gives probabilities; their mean, calibrated, is the answer, so an unknown
    lamp makes a wider answer.

    again: how to take the photo again where it allows several answers (`retake.py`).
    """
    features = features_of(measurement, load_bands())
    judged = judgement(features, model)
    best = judged.possible[0]
    return Condition(
        label=None if best == "none" else best,
        probabilities=judged.probabilities,
        possible=judged.possible,
        coverage=model.coverage,
        findings=judged.findings,
        evidence=evidence_of(judged.attribution, usual_values(features), model),
        reasons=reasons_for(judged.possible, judged.outside, again),
    )


def kept_open(condition: Condition, gated: Sequence[Reason]) -> Condition:
    """The condition with chalk white among what is possible where much of the nose is burnt out in
    the photo (`gated`): its lightness is a lower bound, and overheating must not be lost."""
    burnt = any(one.code == "clipped" for one in gated)
    if not burnt or "chalk_white" in condition.possible:
        return condition
    return replace(condition, possible=(*condition.possible, "chalk_white"))


def judgement(features: Features, model: Model) -> Judgement:
    """What the model says of features, without words."""
    under_light, once = model.curves.parts(features)
    averages = averaged(under_light, once, model.curves.offsets)
    told = dict(zip(model.labels, _calibrated(averages, model).tolist(), strict=True))
    values = usual_values(features)
    findings = detected(model.detectors, model.curves, values)
    lonely = told.get("none", 0.0)
    unnamed = lonely >= max(told.values()) and not describes_alone(findings)
    if not describes_alone(findings):  # "none" stands only where a finding does
        told = {label: told[label] / (1 - lonely) for label in CONDITIONS}
    heated = shows_heat(values, model)
    first, second, *_ = sorted(told, key=lambda label: -told[label])
    return Judgement(
        probabilities={label: told.get(label, 0.0) for label in LABELS},
        possible=answers(told, heated, model),
        findings=findings,
        heated=heated,
        outside=unnamed or model.known.distance(values) > model.known.farthest,
        attribution=attributed(
            (first, second),
            model.labels,
            under_light,
            once,
            model.curves.offsets,
            averages,
            model.sharpness,
            model.shifts,
        ),
    )


def answers(told: Mapping[str, float], heated: bool, model: Model) -> tuple[str, ...]:
    """The labels that a photo allows, most probable first: those of `sets.allowed`, and beside
    chalk white alone without a sign of heat the likelier of the white labels that need none.

    told: probabilities of the labels that are in question.
    """
    possible = allowed(told, model.least)
    if possible == ("chalk_white",) and not heated:
        return (*possible, max(UNHEATED, key=lambda label: told[label]))
    return possible


def usual_values(features: Features) -> NDArray[np.float64]:
    """One value of each feature in the order of `NAMES`: those under the light as their mean."""
    return np.concatenate([features.under_light.mean(axis=0), features.once])


def shows_heat(values: NDArray[np.float64], model: Model) -> bool:
    """Whether at least one sign of heat is above what unheated plugs show. Common practice, no
    published source: white alone is not overheated."""
    seen = dict(zip(NAMES, values.tolist(), strict=True))
    return any(seen[name] > above for name, above in model.heat.items())


def _calibrated(averages: NDArray[np.float64], model: Model) -> NDArray[np.float64]:
    scores = model.sharpness * averages + model.shifts
    chances = np.exp(scores - scores.max())
    return np.asarray(chances / chances.sum())


def reasons_for(possible: tuple[str, ...], outside: bool, again: str) -> tuple[Reason, ...]:
    """Why the likeliest label does not stand alone; empty where it does. `again` as in `judge`."""
    if outside:
        return (reason("outside_model"),)
    if frozenset(possible) == BLACKS:
        return (reason("dry_or_wet"),)
    if len(possible) > 1:
        labels = ", ".join(named(label) for label in possible)
        return (reason("undecided", labels=labels, again=again),)
    return ()


def named(label: str) -> str:
    """A label in plain words."""
    return "only findings" if label == "none" else label.replace("_", " ")
