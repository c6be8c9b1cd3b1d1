"""From a measurement to a condition: Bayes' rule over five looks, averaged over the light."""

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS, Condition
from tipvision.condition.evidence import evidence_for
from tipvision.condition.model import Model, Profile
from tipvision.measure.measurement import Measurement
from tipvision.record.reason import Reason, reason

BLACKS = frozenset({"dry_black", "wet_black"})
SPECKS_FLOOR = 0.002  # share of the nose below which specks are noise (our estimate)
FAR_SHARE = 0.9  # share of the light's draws that must lie far from every look (our estimate)


def judge(measurement: Measurement, model: Model) -> Condition:
    """Probabilities of the conditions, the answers allowed, and why if there are several.

    Each draw of the light gives a posterior (equal prior weights); their mean is the answer, so an
    unknown lamp makes a wider answer and never a confident wrong one. No finding is trained in
    this model: all are None and "none" has no probability.
    """
    surface = surface_logs(measurement)
    profiles = [model.profiles[name] for name in CONDITIONS]
    distance2 = np.stack([_distance2(measurement.samples, p) for p in profiles], axis=1)
    log_likelihood = np.stack(
        [_log_likelihood(d2, p, surface) for d2, p in zip(distance2.T, profiles, strict=True)],
        axis=1,
    )
    posterior = np.exp(log_likelihood - log_likelihood.max(axis=1, keepdims=True))
    posterior /= posterior.sum(axis=1, keepdims=True)
    mean = (1 - model.slip) * posterior.mean(axis=0) + model.slip / len(CONDITIONS)
    probabilities = {**dict(zip(CONDITIONS, map(float, mean), strict=True)), "none": 0.0}
    possible = allowed(probabilities, model.coverage)
    ranked = sorted(CONDITIONS, key=lambda label: -probabilities[label])
    far = distance2.min(axis=1) > model.far**2
    reasons = _reasons(possible, outside=bool(far.mean() >= FAR_SHARE))
    return Condition(
        label=possible[0],
        probabilities=probabilities,
        possible=possible,
        coverage=model.coverage,
        findings=dict.fromkeys(FINDINGS),
        evidence=evidence_for(ranked[0], ranked[1], model.profiles, measurement, surface),
        reasons=reasons,
    )


def surface_logs(measurement: Measurement) -> Mapping[str, float]:
    """Natural logarithms of the surface measures that the model knows."""
    return {
        "shine": math.log(measurement.shine),
        "specks": math.log(measurement.specks + SPECKS_FLOOR),
    }


def allowed(probabilities: Mapping[str, float], coverage: float) -> tuple[str, ...]:
    """The fewest labels whose probabilities add up to `coverage`, most probable first."""
    ranked = sorted(LABELS, key=lambda label: -probabilities[label])
    total, chosen = 0.0, []
    for label in ranked:
        chosen.append(label)
        total += probabilities[label]
        if total >= coverage:
            break
    return tuple(chosen)


def _distance2(samples: NDArray[np.float64], profile: Profile) -> NDArray[np.float64]:
    """Squared Mahalanobis distance of each colour sample (n, 3) from the profile, (n,)."""
    offset = samples - profile.lab
    return np.asarray(np.einsum("ni,ij,nj->n", offset, np.linalg.inv(profile.covariance), offset))


def _log_likelihood(
    distance2: NDArray[np.float64], profile: Profile, surface: Mapping[str, float]
) -> NDArray[np.float64]:
    colour = -0.5 * (distance2 + np.linalg.slogdet(profile.covariance)[1])
    shape = 0.0
    for name, (mean, sd) in profile.surface.items():
        shape -= 0.5 * ((surface[name] - mean) / sd) ** 2 + math.log(sd)
    return np.asarray(colour + shape)


def _reasons(possible: tuple[str, ...], outside: bool) -> tuple[Reason, ...]:
    if outside:
        return (reason("outside_model"),)
    if frozenset(possible) == BLACKS:
        return (reason("dry_or_wet"),)
    if len(possible) > 1:
        labels = ", ".join(label.replace("_", " ") for label in possible)
        return (reason("undecided", labels=labels),)
    return ()
