"""Published spectra of illuminants, observers and cameras, on one fine grid of wavelengths.

All from colour-science (reference library): CIE 15 illuminants, the CIE 1931 2° observer, and
measured camera sensitivities, which the studio calls camera A and camera B.
"""

from functools import cache

import numpy as np

from pipelines.studio.geometry.mesh import Array

FINE: Array = np.arange(380.0, 781.0, 5.0)
"""Wavelengths in nm at which lights and cameras are integrated."""

DAYLIGHT = ("D50", "D65")
FLUORESCENT = tuple(f"FL{k}" for k in range(1, 13))
LED = ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2")
ILLUMINANTS: tuple[str, ...] = ("A", *DAYLIGHT, *FLUORESCENT, *LED)
"""Names of CIE 15 (the 2018 edition for the LED series), as colour-science has them."""

CAMERAS: dict[str, tuple[str, tuple[float, float, float], tuple[float, float, float]]] = {
    "A": ("A", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)),
    "A1": ("A", (4.0, -2.0, 3.0), (1.05, 1.0, 0.97)),
    "A2": ("A", (-5.0, 3.0, -2.0), (0.96, 1.06, 1.04)),
    "A3": ("A", (-3.0, -4.0, 4.0), (1.06, 0.97, 1.05)),
    "A4": ("A", (6.0, 4.0, -4.0), (0.95, 1.04, 1.0)),
    "B": ("B", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)),
    "B1": ("B", (-4.0, 2.0, 3.0), (1.04, 0.96, 1.03)),
    "B2": ("B", (5.0, -3.0, -3.0), (0.97, 1.05, 1.05)),
    "B3": ("B", (3.0, 5.0, 4.0), (1.05, 1.03, 0.96)),
    "B4": ("B", (-6.0, -4.0, -2.0), (1.0, 0.95, 1.04)),
}
"""Camera: the published one it comes from, shift in nm and stretch about the middle of red, green
and blue. Two are published (reference library: colour-science); the rest vary them (our estimate).
"""


@cache
def illuminant(name: str) -> Array:
    """Relative power (81,) of an illuminant on `FINE`, scaled to luminance 1.

    Raises KeyError with the known names when there is none of that name.
    """
    if name not in ILLUMINANTS:
        raise KeyError(f"no illuminant called {name!r}; known: {', '.join(ILLUMINANTS)}")
    import colour

    spectrum = colour.SDS_ILLUMINANTS[name]
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
    """Sensitivities (81, 3) of red, green and blue of a camera on `FINE`, peak green 1.

    Raises KeyError with the known names when there is none of that name.
    """
    if name not in CAMERAS:
        raise KeyError(f"no camera called {name!r}; known: {', '.join(CAMERAS)}")
    import colour

    parent, shifts, stretches = CAMERAS[name]
    published = sorted(colour.MSDS_CAMERA_SENSITIVITIES)
    table = colour.MSDS_CAMERA_SENSITIVITIES[published["AB".index(parent)]]
    columns = []
    for values, shift, stretch in zip(table.values.T, shifts, stretches, strict=True):
        middle = float((table.wavelengths * values).sum() / values.sum())
        nm = middle + (FINE - shift - middle) / stretch
        columns.append(np.interp(nm, table.wavelengths, values, left=0.0, right=0.0))
    rgb = np.stack(columns, 1)
    return np.asarray(np.clip(rgb, 0.0, None) / rgb[:, 1].max())
