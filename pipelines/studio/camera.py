"""From radiance in bands to what a phone stores: the cheap second stage.

The order is a camera's own: lens, exposure, sensor noise, white balance, colour matrix, tone curve,
sharpening, 8 bits. One render gives many photos.
"""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.lights.spectra import FINE, camera, illuminant, observer
from pipelines.studio.materials.spectra import hats

Picture = npt.NDArray[np.float32]

XYZ_TO_SRGB: Array = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
"""IEC 61966-2-1, linear part."""


@dataclass(frozen=True)
class CameraSettings:
    """How the photo is taken.

    `camera` "A" or "B"; `balance` 1 is a right white balance, 0 one for daylight whatever the lamp;
    `ev` exposure in stops beside the meter's; `blur` of the lens in pixels (sd); `electrons` that a
    white surface puts into a pixel (fewer: more noise); `contrast` 0 (plain sRGB) to 1 (strong
    S-curve); `sharpen` 0 to 1.5; `falloff` light lost in the corners, 0 to 1.
    """

    camera: str = "A"
    balance: float = 1.0
    ev: float = 0.0
    blur: float = 0.6
    electrons: float = 4000.0
    contrast: float = 0.4
    sharpen: float = 0.6
    falloff: float = 0.12


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


def balanced(raw: Array, camera_name: str, light: str, balance: float) -> Array:
    """Raw RGB (…, 3) divided by the white the camera believes in."""
    white = band_weights(camera_name, light).sum(axis=0)
    daylight = band_weights(camera_name, "D65").sum(axis=0)
    believed = white**balance * (daylight * (white[1] / daylight[1])) ** (1 - balance)
    return np.asarray(raw / believed)


def meter(green: Array) -> float:
    """Factor that exposes a picture of luminances (height, width), looking mostly at its middle.

    The mean comes to mid grey, or the brightest 2 % to a light grey if that asks for more (white
    paper stays white); and those 2 % stay under 0.95 of white in any case.
    """
    green = cv2.resize(green.astype(np.float32), (96, 96), interpolation=cv2.INTER_AREA)
    height, width = green.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    weight = np.exp(-(x**2 + y**2) / 0.8)
    mean = float((np.minimum(green, np.percentile(green, 99)) * weight).sum() / weight.sum())
    top = float(np.percentile(green, 98))
    return min(max(0.20 / max(mean, 1e-9), 0.62 / max(top, 1e-9)), 0.95 / max(top, 1e-9))


def tone(linear: Array, contrast: float) -> Array:
    """Linear 0..1 to display values 0..1: sRGB encoding, then an S-curve about mid tones."""
    clipped = np.clip(linear, 0.0, 1.0)
    encoded = np.where(
        clipped <= 0.0031308, 12.92 * clipped, 1.055 * np.power(clipped, 1 / 2.4) - 0.055
    )
    curve = encoded * encoded * (3 - 2 * encoded)
    return np.asarray(encoded + contrast * 0.5 * (curve - encoded))


def develop(
    bands: npt.NDArray[np.float32], light: str, settings: CameraSettings, seed: int
) -> npt.NDArray[np.uint8]:
    """Photo (height, width, 3), 8 bit sRGB, of band radiance (height, width, 16) under a light."""
    rng = np.random.default_rng([seed, 9])
    height, width, _ = bands.shape
    raw = (bands @ band_weights(settings.camera, light)).astype(np.float32)
    white = band_weights(settings.camera, light).sum(axis=0)
    if settings.blur > 0:
        raw = cv2.GaussianBlur(raw, (0, 0), settings.blur)
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    raw = raw * (1 - settings.falloff * (x**2 + y**2) / 2)[..., None]
    scale = meter(raw[..., 1] / white[1]) * 2.0**settings.ev
    exposed = np.minimum(raw * scale / white[1], 1.35)
    exposed = _noisy(exposed, settings.electrons, rng)
    rgb = balanced(exposed * white[1], settings.camera, light, settings.balance)
    rgb = np.clip(rgb, 0.0, 1.0) @ colour_matrix(settings.camera).T
    shown = tone(rgb, settings.contrast).astype(np.float32)
    if settings.sharpen > 0:
        soft = cv2.GaussianBlur(shown, (0, 0), 1.2)
        shown = shown + settings.sharpen * (shown - soft)
    return np.asarray(np.round(np.clip(shown, 0, 1) * 255), dtype=np.uint8)


def _noisy(exposed: Array, electrons: float, rng: np.random.Generator) -> Array:
    """Photon and read noise, partly smoothed like a phone does it: colour more than lightness."""
    sd = np.sqrt(np.maximum(exposed, 0) / electrons + (2.5 / electrons) ** 2)
    noise = (sd * rng.standard_normal(exposed.shape)).astype(np.float32)
    grey = noise.mean(axis=-1, keepdims=True)
    colour = cv2.GaussianBlur(noise - grey, (0, 0), 2.2)
    fine = cv2.GaussianBlur(grey[..., 0], (0, 0), 0.6)[..., None]
    return np.asarray(exposed + 1.2 * fine + colour)
