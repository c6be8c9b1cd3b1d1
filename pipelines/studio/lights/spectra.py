"""Published spectra of illuminants, observers and cameras, on one fine grid of wavelengths.

All from colour-science (reference library): CIE 15 illuminants, the CIE 1931 2° observer, and
measured camera sensitivities, which the studio calls camera A and camera B.
"""

from functools import cache

import numpy as np

from pipelines.studio.geometry.mesh import Array

FINE: Array = np.arange(380.0, 781.0, 5.0)
"""Wavelengths in nm at which lights and cameras are integrated."""

ILLUMINANTS = {
    "A": "A",
    "D50": "D50",
    "D65": "D65",
    "FL2": "FL2",
    "FL11": "FL11",
    "LED-B1": "LED-B1",
    "LED-B3": "LED-B3",
    "LED-B5": "LED-B5",
    "LED-V1": "LED-V1",
}


@cache
def illuminant(name: str) -> Array:
    """Relative power (81,) of an illuminant on `FINE`, scaled to luminance 1.

    Raises KeyError with the known names when there is none of that name.
    """
    if name not in ILLUMINANTS:
        raise KeyError(f"no illuminant called {name!r}; known: {', '.join(ILLUMINANTS)}")
    import colour

    spectrum = colour.SDS_ILLUMINANTS[ILLUMINANTS[name]]
    power = np.interp(FINE, spectrum.wavelengths, spectrum.values, left=0.0, right=0.0)
    return np.asarray(power / (power @ observer()[:, 1]))


@cache
def observer() -> Array:
    """Colour matching functions (81, 3) of the CIE 1931 2° observer on `FINE`."""
    import colour

    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    return np.stack([np.interp(FINE, cmfs.wavelengths, v) for v in cmfs.values.T], 1)


@cache
def camera(name: str) -> Array:
    """Sensitivities (81, 3) of red, green and blue of camera "A" or "B" on `FINE`, peak green 1.

    Raises KeyError for another name.
    """
    import colour

    published = sorted(colour.MSDS_CAMERA_SENSITIVITIES)
    names = {"A": published[0], "B": published[1]}
    if name not in names:
        raise KeyError(f"no camera called {name!r}; known: A, B")
    table = colour.MSDS_CAMERA_SENSITIVITIES[names[name]]
    rgb = np.stack(
        [np.interp(FINE, table.wavelengths, v, left=0.0, right=0.0) for v in table.values.T], 1
    )
    return np.asarray(np.clip(rgb, 0.0, None) / rgb[:, 1].max())
