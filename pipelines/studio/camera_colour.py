"""From spectra to a camera's colours: raw weights, the colour matrix, casts of a wrong balance."""

from functools import cache

import numpy as np

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.lights.spectra import FINE, camera, illuminant, observer
from pipelines.studio.materials.spectra import hats

XYZ_TO_SRGB: Array = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
"""IEC 61966-2-1, linear part."""


@cache
def band_weights(camera_name: str, light: str) -> Array:
    """Weights (16, 3) from band radiance under equal energy to raw camera RGB under a light."""
    weights = hats(FINE).T @ (illuminant(light)[:, None] * camera(camera_name))
    return np.asarray(weights)


@cache
def colour_matrix(camera_name: str) -> Array:
    """3×3 from white-balanced raw RGB to linear sRGB, fitted under D65 and true to white.

    Least squares over the published spectra of the 24-patch chart (reference library:
    colour-science), as makers fit one daylight matrix. Rows sum to 1.
    """
    samples = _training_reflectances()
    raw = samples @ band_weights(camera_name, "D65")
    raw = raw / band_weights(camera_name, "D65").sum(axis=0)
    xyz_weights = hats(FINE).T @ (illuminant("D65")[:, None] * observer())
    target = samples @ xyz_weights / xyz_weights[:, 1].sum() @ XYZ_TO_SRGB.T
    # With rows summing to 1 only two numbers a row are free: fit differences from green.
    around = np.stack([raw[:, 0] - raw[:, 1], raw[:, 2] - raw[:, 1]], 1)
    free, *_ = np.linalg.lstsq(around, target - raw[:, 1:2], rcond=None)
    return np.stack([free[0], 1 - free[0] - free[1], free[1]], axis=1)


def _training_reflectances() -> Array:
    import colour

    charts = colour.SDS_COLOURCHECKERS["babel_average"]
    nm = np.arange(400.0, 701.0, 20.0)
    return np.stack([np.interp(nm, s.wavelengths, s.values) for s in charts.values()])


def white_of(camera_name: str, light: str) -> Array:
    """Raw RGB (3,) of a white surface under a light of luminance 1."""
    return np.asarray(band_weights(camera_name, light).sum(axis=0))


BELIEVED = (2500.0, 9000.0)
"""Colour temperatures in K between which a camera looks for white (our estimate, after phones)."""
MOST_DUV = 0.02
"""Furthest from the line of black bodies, in CIE 1960 uv, that it looks for it (our estimate)."""
MOST_MIRED = (180.0, 80.0)
"""Largest errors along that line, to a warm and to a cold picture (our estimate): phones leave warm
light warm, hardly ever daylight blue."""
_DAYLIGHT = 6504.0
# Bradford's cone responses (reference library: colour-science).
_CONES: Array = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def temperature(xyz: Array) -> float:
    """Correlated colour temperature in K of a white XYZ (3,), within 1700..20000 K.

    The nearest black body in CIE 1960 uv (the definition of CIE 15).
    """
    kelvin = 1e6 / np.linspace(50.0, 588.0, 270)
    line = np.stack([_uv(_black_body(float(t))) for t in kelvin])
    return float(kelvin[np.hypot(*(line - _uv(xyz)).T).argmin()])


def cast(xyz: Array, balance: float, mired: float, duv: float) -> Array:
    """Factors (3,) on linear sRGB that a wrongly believed white leaves on the picture, luminance 1.

    `xyz` (3,) is the true white. The believed one is found on the way from it (`balance` 1) to
    daylight (0), `mired` further to the blue, and `duv` off the line at daylight, and stays within
    `BELIEVED`, `MOST_MIRED` and `MOST_DUV`: the error is one of the balance alone and spares the
    colours of narrow lamps.
    """
    true = 1e6 / temperature(xyz)
    error = (1 - balance) * (1e6 / _DAYLIGHT - true) - mired
    wanted = true + float(np.clip(error, -MOST_MIRED[0], MOST_MIRED[1]))
    ends = (1e6 / BELIEVED[1], 1e6 / BELIEVED[0])
    # A light outside the range is believed at the range's end at best.
    found = float(np.clip(wanted, *ends)) if wanted != true else true
    duv = float(np.clip(duv, -MOST_DUV, MOST_DUV))
    # What is adapted to the believed white keeps the true white's difference from it. The step off
    # the line is made at daylight: in warm light the same step in uv leaves next to no blue.
    daylight = _CONES @ _black_body(_DAYLIGHT)
    along = (_CONES @ _black_body(1e6 / true)) / (_CONES @ _black_body(1e6 / found))
    across = daylight / (_CONES @ _off_line(_DAYLIGHT, duv))
    white = XYZ_TO_SRGB @ _black_body(_DAYLIGHT)
    shown = XYZ_TO_SRGB @ np.linalg.solve(_CONES, daylight * along * across) / white
    shown = np.clip(shown, 0.05, None)
    return np.asarray(shown / (shown @ LUMINANCE))


LUMINANCE: Array = np.array([0.2126, 0.7152, 0.0722])
"""Luminance of linear sRGB (IEC 61966-2-1)."""


@cache
def _black_body(kelvin: float) -> Array:
    nm = FINE * 1e-9
    power = 1.0 / (nm**5 * np.expm1(1.4388e-2 / (nm * kelvin)))
    xyz = power @ observer()
    return np.asarray(xyz / xyz[1])


def _uv(xyz: Array) -> Array:
    return np.asarray(np.array([4 * xyz[0], 6 * xyz[1]]) / (xyz[0] + 15 * xyz[1] + 3 * xyz[2]))


def _off_line(kelvin: float, duv: float) -> Array:
    """White XYZ (3,) `duv` above (greener than) the black body of that temperature."""
    here, along = _uv(_black_body(kelvin)), _uv(_black_body(kelvin * 1.01))
    step = (along - here) / np.linalg.norm(along - here)
    # The line runs towards smaller u with rising temperature: its right-hand side is greener.
    u, v = here + duv * np.array([step[1], -step[0]])
    return np.array([3 * u, 2 * v, 2 * u - 8 * v + 4 - 3 * u - 2 * v]) / (2 * v)
