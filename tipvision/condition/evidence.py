"""What parts an answer from the next best one, as sentences with the numbers behind them."""

import math
from collections.abc import Mapping

from tipvision.condition.model import Profile
from tipvision.measure.measurement import Measurement

WITHIN_95 = 1.96  # standard deviations


def evidence_for(
    label: str,
    rival: str,
    profiles: Mapping[str, Profile],
    measurement: Measurement,
    surface: Mapping[str, float],
) -> tuple[str, ...]:
    """One sentence on lightness and one on each surface measure, first what speaks most for `label`
    against `rival` (the logarithm of the likelihood ratio of that measure alone).

    surface: the logarithms that `judge.surface_logs` gives.
    """
    lightness = float(measurement.lab[0])
    rows = [(_ratio(lightness, *(_lightness(profiles[n]) for n in (label, rival))), "lightness")]
    for key in profiles[label].surface:
        pair = (profiles[label].surface[key], profiles[rival].surface[key])
        rows.append((_ratio(surface[key], *pair), key))
    ranked = [key for _, key in sorted(rows, reverse=True)]
    return tuple(_sentence(key, measurement, label, rival, profiles) for key in ranked)


def _ratio(value: float, ours: tuple[float, float], theirs: tuple[float, float]) -> float:
    """ln of how much likelier a value is under (mean, sd) of the one than of the other."""

    def log_likelihood(mean: float, sd: float) -> float:
        return -0.5 * ((value - mean) / sd) ** 2 - math.log(sd)

    return log_likelihood(*ours) - log_likelihood(*theirs)


def _lightness(profile: Profile) -> tuple[float, float]:
    return float(profile.lab[0]), math.sqrt(profile.covariance[0, 0])


def _sentence(
    key: str, measurement: Measurement, label: str, rival: str, profiles: Mapping[str, Profile]
) -> str:
    names = [name.replace("_", " ") for name in (label, rival)]
    if key == "lightness":
        spans = [_span(*_lightness(profiles[name]), least=0, most=100) for name in (label, rival)]
        seen = _span(float(measurement.lab[0]), float(measurement.sd[0]), least=0, most=100)
        return (
            f"Lightness L* {measurement.lab[0]:.0f} ({seen}); {names[0]} plugs lie at {spans[0]}, "
            f"{names[1]} at {spans[1]}."
        )
    usual = [math.exp(profiles[name].surface[key][0]) for name in (label, rival)]
    if key == "shine":
        return (
            f"The brightest spots are {measurement.shine:.1f} times as bright as the middle of the "
            f"nose; usual is {usual[0]:.1f} for {names[0]}, {usual[1]:.1f} for {names[1]}."
        )
    return (
        f"Dark specks cover {100 * measurement.specks:.1f} % of the nose; usual is "
        f"{100 * usual[0]:.1f} % for {names[0]}, {100 * usual[1]:.1f} % for {names[1]}."
    )


def _span(mean: float, sd: float, least: float, most: float) -> str:
    """The range that holds 95 % of a normal distribution, within what is possible."""
    low, high = max(least, mean - WITHIN_95 * sd), min(most, mean + WITHIN_95 * sd)
    return f"{low:.0f} to {high:.0f}"
