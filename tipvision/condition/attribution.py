"""How much each feature speaks for one label against another; the parts sum to the score."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.features import ONCE, UNDER_LIGHT

Array = NDArray[np.float64]
START, DOUBT = "start", "doubt"
"""What the score is before anything is measured, and what averaging over the light adds to it."""


@dataclass(frozen=True)
class Attribution:
    """For a label against its rival, in natural logarithms of odds.

    score: ln of the label's calibrated probability over the rival's.
    parts: what each feature adds, `START` and `DOUBT` beside them; they sum to `score`.
    """

    label: str
    rival: str
    score: float
    parts: Mapping[str, float]


def attributed(
    pair: tuple[str, str],
    names: tuple[str, ...],
    under_light: Array,
    once: Array,
    offsets: Array,
    averages: Array,
    sharpness: float,
    shifts: Array,
) -> Attribution:
    """The score of the first of a pair of labels against the second, taken apart.

    Scores are sums of features' parts (a logistic regression), averaged over the draws of the
    light as probabilities, so their ln odds are the mean of the sums and a rest that the doubt in
    the light makes. Calibration multiplies all by `sharpness` and adds `shifts`.

    names: of the labels. under_light, once, offsets: as in `curves`. averages: as `averaged` gives
    them. shifts: float64 (c,).
    """
    ours, theirs = (names.index(name) for name in pair)

    def against(parts: Array) -> Array:
        return np.asarray(sharpness * (parts[..., ours] - parts[..., theirs]))

    features = {
        **dict(zip(UNDER_LIGHT, against(under_light.mean(axis=0)).tolist(), strict=True)),
        **dict(zip(ONCE, against(once).tolist(), strict=True)),
    }
    start = float(against(offsets) + shifts[ours] - shifts[theirs])
    mean = float(against(offsets)) + sum(features.values())
    doubt = float(against(averages)) - mean
    score = float(against(averages) + shifts[ours] - shifts[theirs])
    return Attribution(pair[0], pair[1], score, {**features, START: start, DOUBT: doubt})
