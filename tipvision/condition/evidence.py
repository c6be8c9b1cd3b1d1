"""What speaks for an answer, as sentences with the numbers and what they were compared with."""

import math
from collections.abc import Mapping

from tipvision.condition.model import Profile
from tipvision.measure.measurement import Measurement

_COLOUR = (("Lightness L*", 0), ("red-green a*", 1), ("yellow-blue b*", 2))


def evidence_for(
    label: str, measurement: Measurement, profile: Profile, surface: Mapping[str, float]
) -> tuple[str, ...]:
    """One sentence on the colour and one on each surface measure, best match first."""
    words = label.replace("_", " ")
    rows: list[tuple[float, str]] = []
    name, axis = _COLOUR[0]
    spread = math.sqrt(profile.covariance[axis, axis])
    miss = abs(measurement.lab[axis] - profile.lab[axis]) / spread
    rows.append(
        (
            miss,
            f"{name} {measurement.lab[axis]:.0f} ± {measurement.sd[axis]:.0f}; "
            f"{words} plugs lie at {profile.lab[axis]:.0f} ± {spread:.0f}.",
        )
    )
    for key, (mean, sd) in profile.surface.items():
        sentence = _surface_sentence(key, measurement, mean, words)
        rows.append((abs(surface[key] - mean) / sd, sentence))
    return tuple(sentence for _, sentence in sorted(rows))


def _surface_sentence(key: str, measurement: Measurement, mean: float, words: str) -> str:
    if key == "shine":
        return (
            f"The brightest spots are {measurement.shine:.1f} times as bright as the middle of the "
            f"nose; about {math.exp(mean):.1f} is usual for {words}."
        )
    return (
        f"Dark specks cover {100 * measurement.specks:.1f} % of the nose; "
        f"about {100 * math.exp(mean):.1f} % is usual for {words}."
    )
