"""CIE XYZ to CIELAB and back.

Source: CIE 15, with the limits of the straight part as exact fractions (reference library:
colour-science 0.4.7). OpenCV's conversion is not used: it errs in the dark range where soot lives.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.triples import triples

__all__ = ["D65_WHITE", "lab_to_xyz", "xyz_to_lab"]

_EPSILON = 216 / 24389
_KAPPA = 24389 / 27


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = D65_WHITE) -> NDArray[np.float64]:
    """CIELAB of tristimulus values.

    Parameters
    ----------
    xyz:   numbers (..., 3) on the scale of `white`. Slightly negative values, as noise makes them,
           follow the straight part.
    white: numbers (3,) or (..., 3), XYZ of the white that L* = 100 stands for; by default D65,
           2° observer, Y = 1. No adaptation is done: `xyz` must already be under that white.

    Returns
    -------
    float64 (..., 3), L* (0 black to 100 white), a*, b*. NaN stays NaN.

    Raises
    ------
    ValueError: a last axis does not have length 3.
    """
    ratio = triples(xyz, "XYZ") / triples(white, "The white")
    with np.errstate(invalid="ignore"):
        f = np.where(ratio > _EPSILON, np.cbrt(ratio), (_KAPPA * ratio + 16.0) / 116.0)
        fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
        return np.stack([116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = D65_WHITE) -> NDArray[np.float64]:
    """Tristimulus values of CIELAB; the inverse of `xyz_to_lab`.

    Parameters
    ----------
    lab:   numbers (..., 3), L* (0 to 100), a*, b*.
    white: numbers (3,) or (..., 3), XYZ of the white that `lab` refers to; by default D65,
           2° observer, Y = 1.

    Returns
    -------
    float64 (..., 3), XYZ on the scale of `white`. NaN stays NaN.

    Raises
    ------
    ValueError: a last axis does not have length 3.
    """
    values = triples(lab, "Lab")
    with np.errstate(invalid="ignore", over="ignore"):
        fy = (values[..., 0] + 16.0) / 116.0
        f = np.stack([fy + values[..., 1] / 500.0, fy, fy - values[..., 2] / 200.0], axis=-1)
        cube = f**3
        ratio = np.where(cube > _EPSILON, cube, (116.0 * f - 16.0) / _KAPPA)
        return ratio * triples(white, "The white")
