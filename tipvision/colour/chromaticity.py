"""Chromaticity x, y and tristimulus values X, Y, Z of one light."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def xy_to_xyz(xy: ArrayLike) -> NDArray[np.float64]:
    """XYZ of a light of this chromaticity, scaled to Y = 1.

    Parameters
    ----------
    xy: numbers (..., 2), CIE 1931 chromaticity, 2° observer, y > 0.

    Returns
    -------
    float64 (..., 3), X, Y = 1, Z. NaN stays NaN.

    Raises
    ------
    ValueError: the last axis does not have length 2.

    Source: CIE 15, definition of chromaticity (reference library: colour-science 0.4.7).
    """
    pair = np.asarray(xy, dtype=np.float64)
    if pair.ndim == 0 or pair.shape[-1] != 2:
        raise ValueError(f"xy needs two numbers on its last axis; its shape is {pair.shape}.")
    x, y = pair[..., 0], pair[..., 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.stack([x / y, np.ones_like(x) * (y / y), (1.0 - x - y) / y], axis=-1)


D65_XY = np.array([0.3127, 0.3290])
"""Chromaticity of D65, 2° observer, as CIE 15 and IEC 61966-2-1 round it."""

D65_WHITE = xy_to_xyz(D65_XY)
"""XYZ of D65, 2° observer, Y = 1, from the rounded chromaticity."""

D65_XY.flags.writeable = False
D65_WHITE.flags.writeable = False
