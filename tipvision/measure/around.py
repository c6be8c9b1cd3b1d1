"""What the nose's own highlights and the metal round it say of the light that falls on it."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipvision.quantiles import median, quantiles
from tipvision.tip.tip import Part

LEAST_PIXELS = 30  # of a part, below which its mean says little (our estimate)
FLOOR = 0.002  # luminance added to both sides of a ratio, so that noise on soot stays small

FEATURES = ("level", "best_lit", "shell", "strap", "hidden")
"""Names of all features, in the order of a fit."""


def light_features(
    luminance: NDArray[np.floating[Any]],
    labels: NDArray[np.uint8],
    visible: float,
) -> Mapping[str, float]:
    """Features that may tell how much of the light at the reference arrives at the nose.

    level:    ln of the nose's median. A camera's meter and the stray light of bore and lens bring
              dark and pale noses nearer to each other than they are.
    best_lit: ln of the nose's ninth decile over its median: light on it is at most about that
              on a card, so the best-lit part tells more than the middle.
    shell, strap: ln of the median of that part over the nose's; absent where too little shows.
    hidden:   1 - `visible`.

    luminance: floats (h, w), Y under the light at the reference. labels: uint8 (h, w) of `Part`.
    visible: as in `Tip`.
    Empty where the nose itself has too few pixels.
    """
    flat = np.ravel(luminance)
    nose = flat[np.flatnonzero(labels == Part.NOSE)]
    if nose.size < LEAST_PIXELS:
        return {}
    middle, upper = (value + FLOOR for value in quantiles(nose, (0.5, 0.9)))
    features = {
        "level": math.log(middle),
        "best_lit": math.log(upper / middle),
        "hidden": 1.0 - visible,
    }
    for name, part in (("shell", Part.SHELL), ("strap", Part.STRAP)):
        metal = flat[np.flatnonzero(labels == part)]
        if metal.size >= LEAST_PIXELS:
            features[name] = math.log((median(metal) + FLOOR) / middle)
    return features
