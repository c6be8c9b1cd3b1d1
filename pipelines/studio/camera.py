"""From radiance in bands to what a phone stores: the cheap second stage.

The order is a camera's own: lens (crop, scale, defocus, motion), exposure, sensor noise, white
balance, colour matrix, local and global tone, sharpening, 8 bits. One render gives many photos.
"""

from collections.abc import Sequence
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
class Crop:
    """A window of the render, in its pixels, and the size it is brought to.

    The window may lie anywhere inside the render; truth goes the same way by `points` and `mask`.
    """

    left: int
    top: int
    width: int
    height: int
    out_width: int
    out_height: int

    def points(self, xy: Array) -> Array:
        """Places (n, 2) in the render as places in the photo, counted from pixel corners."""
        scale = np.array([self.out_width / self.width, self.out_height / self.height])
        return np.asarray((np.asarray(xy, float) - [self.left, self.top]) * scale)

    def mask(self, labels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
        """Labels (height, width) of the render as those of the photo, by nearest pixel."""
        part = labels[self.top : self.top + self.height, self.left : self.left + self.width]
        size = (self.out_width, self.out_height)
        return np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_NEAREST_EXACT), np.uint8)

    def light(self, picture: Array) -> Array:
        """Linear light (height, width, channels) of the window, averaged or interpolated."""
        part = picture[self.top : self.top + self.height, self.left : self.left + self.width]
        how = cv2.INTER_AREA if self.out_width < self.width else cv2.INTER_CUBIC
        out = cv2.resize(part, (self.out_width, self.out_height), interpolation=how)
        return np.asarray(np.maximum(out, 0.0))


@dataclass(frozen=True)
class CameraSettings:
    """How the photo is taken.

    `camera` one of `lights.spectra.CAMERAS`; `balance` 1 is a right white balance, 0 one for
    daylight whatever the lamp; `ev` exposure in stops beside the meter's; `blur` of the lens in
    pixels (sd); `electrons` that a white surface puts into a pixel (fewer: more noise); `contrast`
    0 (plain sRGB) to 1 (strong S-curve); `sharpen` 0 to 1.5; `falloff` light lost in the corners,
    0 to 1.

    `curve` one of `CURVES`: "s" is the sRGB encoding with `contrast`; `defocus` radius in pixels of
    a disk; `motion` length in pixels and direction in degrees of a straight smear; `local` 0 to 1
    how far large bright and dark areas are drawn together; `tint` a wrong balance across the lamp
    line, as a factor on green; `jpeg` quality; `crop` None keeps the whole render.
    """

    camera: str = "A"
    balance: float = 1.0
    ev: float = 0.0
    blur: float = 0.6
    electrons: float = 4000.0
    contrast: float = 0.4
    sharpen: float = 0.6
    falloff: float = 0.12
    curve: str = "s"
    defocus: float = 0.0
    motion: tuple[float, float] = (0.0, 0.0)
    local: float = 0.0
    tint: float = 1.0
    jpeg: int = 88
    crop: Crop | None = None

    @property
    def white_balance(self) -> str:
        """What the balance is called in the manifest: right, partial or wrong."""
        if self.balance > 0.95 and abs(self.tint - 1.0) < 0.03:
            return "right"
        return "wrong" if self.balance < 0.3 or abs(self.tint - 1.0) > 0.1 else "partial"


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


def balanced(raw: Array, camera_name: str, white: Array, balance: float) -> Array:
    """Raw RGB (…, 3) divided by the white the camera believes in; `white` (3,) is the true one."""
    daylight = white_of(camera_name, "D65")
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


CURVES = ("s", "none", "film", "flat", "gamma")
"""Tone curves: sRGB with an S-curve; plain sRGB; a shoulder and a lifted toe; low contrast; a plain
power of 1/2.2. Source: our estimate."""


def tone(linear: Array, contrast: float, curve: str = "s") -> Array:
    """Linear 0..1 to display values 0..1 by one of `CURVES`, rising everywhere.

    Raises KeyError with the known names for another curve.
    """
    if curve not in CURVES:
        raise KeyError(f"no tone curve called {curve!r}; known: {', '.join(CURVES)}")
    clipped = np.clip(linear, 0.0, 1.0)
    if curve == "gamma":
        return np.asarray(clipped ** (1 / 2.2))
    if curve == "film":
        # A shoulder that starts early: x(1+x/w²)/(1+x) with white w = 4 before, scaled to end at 1.
        x = 4.0 * clipped
        clipped = x * (1 + x / 16.0) / (1 + x)
    encoded = np.where(
        clipped <= 0.0031308, 12.92 * clipped, 1.055 * np.power(clipped, 1 / 2.4) - 0.055
    )
    if curve == "film":
        return np.asarray(0.02 + 0.98 * encoded)
    if curve == "flat":
        return np.asarray(0.06 + 0.86 * encoded)
    if curve == "none":
        return np.asarray(encoded)
    bent = encoded * encoded * (3 - 2 * encoded)
    return np.asarray(encoded + contrast * 0.5 * (bent - encoded))


@dataclass(frozen=True)
class Group:
    """The linear picture (height, width, 16) that one group of lamps makes, their illuminant and
    the factor on it."""

    bands: Picture
    light: str
    factor: float = 1.0


def mixed(
    bands: Sequence[Picture], lights: Sequence[str], share: float, subject: Crop | None = None
) -> tuple[Group, ...]:
    """Two groups scaled so that the second brings `share` of the mean light; one stays as it is.

    Only the part of the pictures within `subject` is weighed when given. Raises ValueError unless
    there are one or two groups, with a light for each.
    """
    if len(bands) != len(lights) or len(bands) not in (1, 2):
        raise ValueError(f"{len(bands)} pictures and {len(lights)} lights: give one or two of each")
    if len(bands) == 1:
        return (Group(bands[0], lights[0]),)
    seen = bands
    if subject is not None:
        rows = slice(subject.top, subject.top + subject.height)
        columns = slice(subject.left, subject.left + subject.width)
        seen = [b[rows, columns] for b in bands]
    first, second = (max(float(b.mean()), 1e-9) for b in seen)
    factor = share / max(1 - share, 1e-6) * first / second
    return Group(bands[0], lights[0]), Group(bands[1], lights[1], factor)


def develop(
    bands: npt.NDArray[np.float32], light: str, settings: CameraSettings, seed: int
) -> npt.NDArray[np.uint8]:
    """Photo (height, width, 3), 8 bit sRGB, of band radiance (height, width, 16) under a light."""
    return develop_groups((Group(bands, light),), settings, seed)


def develop_groups(
    groups: Sequence[Group], settings: CameraSettings, seed: int
) -> npt.NDArray[np.uint8]:
    """Photo of one or more groups of lamps. A right balance is right for their mean mixture."""
    rng = np.random.default_rng([seed, 9])
    raw = np.zeros((*groups[0].bands.shape[:2], 3), np.float32)
    white = np.zeros(3)
    for group in groups:
        weights = band_weights(settings.camera, group.light)
        raw += group.factor * (group.bands @ weights).astype(np.float32)
        power = group.factor * float(group.bands.mean()) if len(groups) > 1 else 1.0
        white = white + power * weights.sum(axis=0)
    white = white / (1.0 if len(groups) == 1 else white[1])
    raw = _through_lens(raw, settings)
    height, width, _ = raw.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    raw = raw * (1 - settings.falloff * (x**2 + y**2) / 2)[..., None]
    scale = meter(raw[..., 1] / white[1]) * 2.0**settings.ev
    exposed = np.minimum(raw * scale / white[1], 1.35)
    exposed = _noisy(exposed, settings.electrons, rng)
    rgb = balanced(exposed * white[1], settings.camera, white, settings.balance)
    if settings.tint != 1.0:
        rgb = rgb * np.array([1.0, settings.tint, 1.0])
    rgb = np.clip(rgb, 0.0, 1.0) @ colour_matrix(settings.camera).T
    if settings.local > 0:
        rgb = locally_toned(rgb, settings.local)
    shown = tone(rgb, settings.contrast, settings.curve).astype(np.float32)
    if settings.sharpen > 0:
        soft = cv2.GaussianBlur(shown, (0, 0), 1.2)
        shown = shown + settings.sharpen * (shown - soft)
    return np.asarray(np.round(np.clip(shown, 0, 1) * 255), dtype=np.uint8)


def _through_lens(raw: Array, settings: CameraSettings) -> Array:
    """Crop and scale, then the blurs of focus, hand and lens: all before light meets the sensor."""
    if settings.crop is not None:
        raw = settings.crop.light(raw)
    if settings.defocus > 0:
        raw = cv2.filter2D(raw, -1, disk(settings.defocus), borderType=cv2.BORDER_REFLECT)
    if settings.motion[0] > 0:
        raw = cv2.filter2D(raw, -1, smear(*settings.motion), borderType=cv2.BORDER_REFLECT)
    if settings.blur > 0:
        raw = cv2.GaussianBlur(raw, (0, 0), settings.blur)
    return raw


def disk(radius: float) -> Array:
    """Kernel of a defocused point, a disk of that radius in pixels with soft edges; sums to 1."""
    half = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    kernel = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1)
    return np.asarray(kernel / kernel.sum())


def smear(length: float, degrees: float) -> Array:
    """Kernel of a straight smear, length in pixels, direction counter-clockwise from right."""
    half = int(np.ceil(length / 2)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    t = np.radians(degrees)
    along, across = x * np.cos(t) - y * np.sin(t), x * np.sin(t) + y * np.cos(t)
    kernel = np.clip(length / 2 + 0.5 - np.abs(along), 0, 1) * np.clip(1 - np.abs(across), 0, 1)
    return np.asarray(kernel / kernel.sum())


def locally_toned(rgb: Array, strength: float) -> Array:
    """Linear RGB (height, width, 3) with its large light and dark areas drawn together.

    The lightness is parted into a base (an edge-keeping mean over 1/16 of the picture) and detail;
    the base is compressed about its mean by up to half, as phones do. Colours keep their ratios.
    """
    grey = np.maximum(rgb @ np.array([0.2126, 0.7152, 0.0722]), 1e-4)
    log = np.log(grey).astype(np.float32)
    reach = max(4, round(min(grey.shape) / 16))
    mean = cv2.blur(log, (2 * reach + 1,) * 2)
    variance = np.maximum(cv2.blur(log * log, (2 * reach + 1,) * 2) - mean * mean, 0)
    gain = variance / (variance + 0.15)
    base = cv2.blur(gain, (2 * reach + 1,) * 2) * log + cv2.blur(
        (1 - gain) * mean, (2 * reach + 1,) * 2
    )
    change = -0.5 * strength * (base - float(base.mean()))
    return np.asarray(np.clip(rgb * np.exp(change)[..., None], 0.0, 1.0))


def _noisy(exposed: Array, electrons: float, rng: np.random.Generator) -> Array:
    """Photon and read noise, partly smoothed like a phone does it: colour more than lightness."""
    sd = np.sqrt(np.maximum(exposed, 0) / electrons + (2.5 / electrons) ** 2)
    noise = (sd * rng.standard_normal(exposed.shape)).astype(np.float32)
    grey = noise.mean(axis=-1, keepdims=True)
    colour = cv2.GaussianBlur(noise - grey, (0, 0), 2.2)
    fine = cv2.GaussianBlur(grey[..., 0], (0, 0), 0.6)[..., None]
    return np.asarray(exposed + 1.2 * fine + colour)
