"""sRGB: its tone curve and the way from its linear values to CIE XYZ.

Source: IEC 61966-2-1 (reference library: colour-science 0.4.7, `RGB_COLOURSPACES["sRGB"]`).
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.chromaticity import D65_WHITE, xy_to_xyz

_PRIMARIES_XY = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))  # red, green, blue


def _rgb_to_xyz() -> NDArray[np.float64]:
    primaries = xy_to_xyz(_PRIMARIES_XY).T
    matrix: NDArray[np.float64] = primaries * np.linalg.solve(primaries, D65_WHITE)
    matrix.flags.writeable = False
    return matrix


RGB_TO_XYZ = _rgb_to_xyz()
"""float64 (3, 3), linear sRGB (0 to 1) to XYZ under D65, 2° observer, Y of white = 1.

Use it as `rgb @ RGB_TO_XYZ.T`. It is worked out in full precision from the primaries and the white
of IEC 61966-2-1, so that a grey keeps a* = b* = 0 exactly. The standard prints the same matrix
rounded to four decimals (which is what colour-science uses unless told to derive it); the two
differ by less than 0.00005 in every entry.
"""


def decode(encoded: ArrayLike) -> NDArray[np.float64]:
    """Linear light of sRGB code values.

    Parameters
    ----------
    encoded: numbers of any shape, 0 to 1 (8-bit codes divided by 255). Values outside are not
             clipped: below 0 the straight part goes on, above 1 the curve does.

    Returns
    -------
    float64 of the same shape, 0 to 1 for values in range. NaN stays NaN.

    Source: IEC 61966-2-1 with its rounded constants 0.04045 and 12.92.
    """
    code = np.asarray(encoded, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        curve = ((np.maximum(code, 0.0) + 0.055) / 1.055) ** 2.4
    return np.where(code > 0.04045, curve, code / 12.92)


def encode(linear: ArrayLike) -> NDArray[np.float64]:
    """sRGB code values of linear light; the inverse of `decode`.

    Parameters
    ----------
    linear: numbers of any shape, 0 to 1, not clipped.

    Returns
    -------
    float64 of the same shape, 0 to 1 for values in range. NaN stays NaN.

    Source: IEC 61966-2-1 with its rounded constants 0.0031308 and 12.92.
    """
    light = np.asarray(linear, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        curve = 1.055 * np.maximum(light, 0.0) ** (1.0 / 2.4) - 0.055
    return np.where(light > 0.0031308, curve, light * 12.92)


@cache
def linear_table() -> NDArray[np.float32]:
    """Linear light of every 8-bit sRGB code: float32 (256,), 0 to 1, read-only.

    `linear_table()[photo]` linearises a uint8 photo without a float copy of its codes.
    """
    table = decode(np.arange(256) / 255.0).astype(np.float32)
    table.flags.writeable = False
    return table
