"""What was measured on one nose."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Measurement:
    """Colour and surface of one insulator nose. Colours are CIELAB under D65, 2° observer.

    lab:       float64 (3,), colour of the nose, L* 0 to 100.
    sd:        float64 (3,), standard deviation of `lab` from the doubt in light and surface.
    samples:   float64 (n, 3), n ≤ 64, the nose's colour under each draw of the light.
    zones:     float64 (z, 3), z ≤ 50, colour of each zone of the nose under the best light.
    weights:   float64 (z,), share of the visible nose in each zone; sums to 1.
    bands:     CIEDE2000 from `lab` to the mean of each of the four bands.
    shares:    share of the visible nose nearest to each band; sums to 1.
    shine:     ratio, how much brighter the brightest percent of the nose is than its median, in
               linear light; 1 is perfectly matte.
    texture:   L* units, robust spread of fine detail on the nose.
    evenness:  L* units, spread of lightness between zones; 0 is one even colour.
    specks:    0 to 1, share of the nose covered by small spots darker than what is around them.
    glare:     0 to 1, share of the nose under glare (left out of the colour).
    clipped:   0 to 1, share of the nose with a channel at its ceiling (left out of the colour while
               it is small; in the colour of a nose burnt out in large part L* is a lower bound).
    metal:     float64 (n, 3), as `samples`, of the median of shell, strap and electrode; (0, 3)
               where no metal shows.
    signs:     one value each, whatever the light, as `relief.relief_signs`, `beside.beside_signs`
               and `coat.coat_signs` name them; one that does not show is absent.
    """

    lab: NDArray[np.float64]
    sd: NDArray[np.float64]
    samples: NDArray[np.float64]
    zones: NDArray[np.float64]
    weights: NDArray[np.float64]
    bands: Mapping[str, float]
    shares: Mapping[str, float]
    shine: float
    texture: float
    evenness: float
    specks: float
    glare: float
    clipped: float
    metal: NDArray[np.float64] = field(default_factory=lambda: np.empty((0, 3)))
    signs: Mapping[str, float] = field(default_factory=dict)
