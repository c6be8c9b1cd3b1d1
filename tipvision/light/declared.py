"""The light of a photo from what a person says of the lamp."""

import math

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.adaptation import bradford
from tipvision.colour.chromaticity import D65_WHITE, xy_to_xyz
from tipvision.colour.illuminants import cct, white_of
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.doubt import EXPOSURE_SD, doubtful
from tipvision.light.light import Light
from tipvision.record.reason import reason

# Standard deviation of ln(red/green) and ln(blue/green); our estimate.
FIXED_BALANCE_CAST_SD = 0.05  # the lamp is not quite what its name says, nor the fixed balance D65
AUTO_BALANCE_CAST_SD = 0.10  # the camera guessed the lamp by itself, usually well


def declared_light(
    name: str, metadata_white_balance: str | None, flash_fired: bool | None = None
) -> Light:
    """The light of a photo under a lamp that was named.

    With a fixed ("manual") white balance the photo's colours stand as a daylight eye sees them
    under that lamp, so they are adapted from its white to D65 in full (Bradford). With an automatic
    balance, or none told, the camera has adapted already: the colours are left as they are, and the
    name serves for the doubt only. Exposure is unknown either way. Where the flash fired, the lamp
    was not the only light: that gives the reason `light_mismatch`.

    name: an illuminant such as "D50", "A", "F11", or kelvin such as "4000K".
    metadata_white_balance: "manual", "auto", or None where the photo does not say.
    flash_fired: as the photo says, or None.
    Raises ValueError for a name that stands for no lamp.
    """
    white = white_of(name)
    kelvin = float(cct(white))
    if metadata_white_balance == "manual":
        correction: NDArray[np.float64] = bradford(xy_to_xyz(white), D65_WHITE) @ RGB_TO_XYZ
        cast_sd = FIXED_BALANCE_CAST_SD
    else:
        correction, cast_sd = RGB_TO_XYZ, AUTO_BALANCE_CAST_SD
    return Light(
        source=f"declared:{name.strip()}",
        correction=Correction(correction),
        samples=doubtful(correction, cast_sd, EXPOSURE_SD),
        cct_k=kelvin if math.isfinite(kelvin) else None,
        reasons=(reason("light_mismatch", fault="the flash fired"),) if flash_fired else (),
    )
