"""Munsell chips as CIELAB colours."""

import colour
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.adaptation import bradford
from tipvision.colour.chromaticity import D65_WHITE, xy_to_xyz
from tipvision.colour.lab import xyz_to_lab

_OBSERVER = "CIE 1931 2 Degree Standard Observer"


def chip_lab(notation: str) -> NDArray[np.float64]:
    """CIELAB of one Munsell chip under D65, 2° observer.

    Parameters
    ----------
    notation: such as "7.5YR 6/4" or "N 2/", value 1 to 10.

    Returns
    -------
    float64 (3,).

    Raises
    ------
    ValueError: the notation cannot be read, or lies outside the renotation.

    Source: Munsell renotation under illuminant C, Y by ASTM D1535 (reference library:
    colour-science 0.4.7), taken to D65 by Bradford.
    """
    # colour-science wants greys without a chroma: "N2", where soil books print "N 2/".
    plain = notation.replace("N ", "N").rstrip("/")
    try:
        x, y, luminance = colour.munsell_colour_to_xyY(plain)
    except (AssertionError, ValueError) as error:
        raise ValueError(
            f'"{notation}" is no Munsell chip that can be converted: {error}'
        ) from error
    to_d65 = bradford(xy_to_xyz(colour.CCS_ILLUMINANTS[_OBSERVER]["C"]), D65_WHITE)
    return xyz_to_lab(to_d65 @ (luminance * xy_to_xyz([x, y])))
