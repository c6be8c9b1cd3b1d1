"""The light of a photo, as the correction it asks for and the doubt in it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tipvision.record.reason import Reason


@dataclass(frozen=True)
class Light:
    """What is known of the light a photo was taken under.

    source:     "bench_card", "declared:NAME" or "estimate" (more sources come with their finders).
    correction: float64 (3, 3), from nominal linear sRGB as the camera stored it (0 to 1) to CIE XYZ
                under D65, 2° observer, Y of a perfect white = 1; the best single guess.
    samples:    float64 (n, 3, 3), n ≤ 64, draws of `correction` that carry the doubt in the light:
                colour cast and exposure together.
    cct_k:      correlated colour temperature of the lamp in kelvin, where it is known.
    card_corners: float64 (4, 2), the bench card's corners in displayed pixels (top left, top right,
                bottom right, bottom left of the card), where it was found.
    px_per_mm:  scale at the bench card's plane, where it was found.
    reasons:    what speaks against trusting this light.
    """

    source: str
    correction: NDArray[np.float64]
    samples: NDArray[np.float64]
    cct_k: float | None = None
    card_corners: NDArray[np.float64] | None = None
    px_per_mm: float | None = None
    reasons: tuple[Reason, ...] = field(default=())
