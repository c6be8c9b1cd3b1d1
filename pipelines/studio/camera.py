"""From radiance in bands to what a phone stores: the cheap second stage.

The order is a camera's own: lens (crop, scale, defocus, motion), exposure, white balance, colour
matrix, noise, local and global tone, sharpening, 8 bits. The grain of the render itself is smoothed
before all that. One render gives many photos.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.camera_colour import (
    LUMINANCE,
    XYZ_TO_SRGB,
    band_weights,
    cast,
    colour_matrix,
    white_of,
)
from pipelines.studio.camera_lens import Crop, disk, smear
from pipelines.studio.camera_smoothing import smoothed
from pipelines.studio.camera_tone import CURVES, locally_toned, meter, tone
from pipelines.studio.geometry.mesh import Array
from pipelines.studio.lights.spectra import FINE, illuminant, observer
from pipelines.studio.materials.spectra import hats

__all__ = [
    "CURVES",
    "XYZ_TO_SRGB",
    "CameraSettings",
    "Crop",
    "Exposure",
    "Group",
    "band_weights",
    "colour_matrix",
    "develop",
    "develop_groups",
    "luminances",
    "meter",
    "metered",
    "mixed",
    "powers",
    "tone",
    "white_of",
]

Picture = npt.NDArray[np.float32]


@dataclass(frozen=True)
class CameraSettings:
    """How the photo is taken.

    `camera` one of `lights.spectra.CAMERAS`; `balance` 1 is a right white balance, 0 one for
    daylight whatever the lamp, `mired` so much further to the blue (see `camera_colour.cast`) and
    `duv` off the lamps' line towards green or magenta; `ev` exposure in stops beside the meter's;
    `blur` of the lens in pixels (sd); `electrons` that a white surface puts into a pixel (fewer:
    more noise); `contrast` 0 (plain sRGB) to 1 (strong S-curve); `sharpen` 0 to 1.5; `falloff`
    light lost in the corners, 0 to 1.

    `smooth` 0 to 1 how far grain is smeared (`camera_smoothing`);
    `curve` one of `CURVES`: "s" is the sRGB encoding with `contrast`; `defocus` radius in pixels of
    a disk; `motion` length in pixels and direction in degrees of a straight smear; `local` 0 to 1
    how far large bright and dark areas are drawn together; `jpeg` quality; `crop` None keeps the
    whole render.
    """

    camera: str = "A"
    balance: float = 1.0
    ev: float = 0.0
    smooth: float = 0.3
    blur: float = 0.6
    electrons: float = 4000.0
    contrast: float = 0.4
    sharpen: float = 0.6
    falloff: float = 0.12
    curve: str = "s"
    defocus: float = 0.0
    motion: tuple[float, float] = (0.0, 0.0)
    local: float = 0.0
    mired: float = 0.0
    duv: float = 0.0
    jpeg: int = 88
    crop: Crop | None = None

    @property
    def white_balance(self) -> str:
        """What the balance is called in the manifest: right, partial or wrong."""
        if self.balance > 0.95 and abs(self.mired) < 10 and abs(self.duv) < 0.003:
            return "right"
        off = self.balance < 0.45 or abs(self.mired) > 40 or abs(self.duv) > 0.01
        return "wrong" if off else "partial"


@dataclass(frozen=True)
class Group:
    """The linear picture (height, width, 16) that one group of lamps makes, their illuminant and
    the factor on it."""

    bands: Picture
    light: str
    factor: float = 1.0


@dataclass(frozen=True)
class Exposure:
    """What a camera set by hand keeps from one photo to the next.

    `gain` on raw values in which a white surface under light of luminance 1 is at 1; `power` of
    each group of lamps in the white that the balance is set to (its sum only scales the gain).
    """

    gain: float
    power: tuple[float, ...]


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
    seen = bands if subject is None else [b[subject.window] for b in bands]
    first, second = (max(float(b.mean()), 1e-9) for b in seen)
    factor = share / max(1 - share, 1e-6) * first / second
    return Group(bands[0], lights[0]), Group(bands[1], lights[1], factor)


def develop(
    bands: npt.NDArray[np.float32], light: str, settings: CameraSettings, seed: int
) -> npt.NDArray[np.uint8]:
    """Photo (height, width, 3), 8 bit sRGB, of band radiance (height, width, 16) under a light."""
    return develop_groups((Group(bands, light),), settings, seed)


def develop_groups(
    groups: Sequence[Group],
    settings: CameraSettings,
    seed: int,
    exposure: Exposure | None = None,
) -> npt.NDArray[np.uint8]:
    """Photo of one or more groups of lamps. A right balance is right for their mean mixture.

    With an `exposure` the camera neither meters nor looks for white: it keeps what that says, and
    `settings.ev` has no effect. Photos with gains in the ratio of their EXIF exposures then agree.
    """
    rng = np.random.default_rng([seed, 9])
    power = powers(groups) if exposure is None else exposure.power
    raw = _sensed(groups, settings, power)
    if exposure is None:
        exposed = raw * meter(raw[..., 1]) * 2.0**settings.ev
    else:
        exposed = raw * exposure.gain
    xyz = sum(p * _white_xyz(g.light) for p, g in zip(power, groups, strict=True))
    # What is too bright keeps its hue: clipped apart, channels would turn red to yellow.
    held = exposed / np.maximum(exposed.max(axis=-1, keepdims=True), 1.0)
    rgb = held @ colour_matrix(settings.camera).T
    rgb = rgb * cast(np.asarray(xyz), settings.balance, settings.mired, settings.duv)
    # Where all of the sensor is full nothing is left of the cast: that is shown white.
    full = np.clip((exposed.min(axis=-1, keepdims=True) - 1.0) / 0.25, 0, 1)
    rgb = rgb + full * (1 - rgb) + (1 - full) * _noise(rgb, settings.electrons, rng)
    rgb = np.clip(rgb, 0.0, 1.0)
    if settings.local > 0:
        rgb = locally_toned(rgb, settings.local)
    shown = tone(rgb, settings.contrast, settings.curve).astype(np.float32)
    if settings.sharpen > 0:
        detail = shown - cv2.GaussianBlur(shown, (0, 0), 1.2)
        # Edges are sharpened, faint grain hardly: a phone tells them apart by size.
        shown = shown + settings.sharpen * detail**3 / (detail**2 + FAINT_DETAIL**2)
    return np.asarray(np.round(np.clip(shown, 0, 1) * 255), dtype=np.uint8)


def metered(
    groups: Sequence[Group], settings: CameraSettings, power: tuple[float, ...] | None = None
) -> Exposure:
    """The exposure that the camera's meter and `settings.ev` give, to be kept for other photos.

    `power` is that of another photo under the same lamps when its balance is kept, else None.
    """
    power = powers(groups) if power is None else power
    return Exposure(meter(luminances(groups, settings, power)) * 2.0**settings.ev, power)


def luminances(
    groups: Sequence[Group], settings: CameraSettings, power: tuple[float, ...] | None = None
) -> Array:
    """Raw green values (height, width) that a camera meters by, over those of white.

    The window is looked at in the render's own pixels and without blurs, whatever the photo's size.
    `power` as in `metered`.
    """
    crop = settings.crop
    if crop is not None:
        crop = replace(crop, out_width=crop.width, out_height=crop.height)
    plain = replace(settings, crop=crop, smooth=0.0, blur=0.0, defocus=0.0, motion=(0.0, 0.0))
    power = powers(groups) if power is None else power
    return np.asarray(_sensed(groups, plain, power)[..., 1])


def powers(groups: Sequence[Group]) -> tuple[float, ...]:
    """The light that each group brings to the picture; 1 for a single one."""
    if len(groups) == 1:
        return (1.0,)
    return tuple(group.factor * float(group.bands.mean()) for group in groups)


def _sensed(groups: Sequence[Group], settings: CameraSettings, power: tuple[float, ...]) -> Array:
    """Raw values (height, width, 3) behind the lens over those of the white that `power` mixes."""
    window = np.s_[:, :] if settings.crop is None else settings.crop.window
    raw = np.zeros((*groups[0].bands[window].shape[:2], 3), np.float32)
    white = np.zeros(3)
    for group, own in zip(groups, power, strict=True):
        raw += group.factor * (group.bands[window] @ band_weights(settings.camera, group.light))
        white = white + own * white_of(settings.camera, group.light)
    raw = _through_lens(smoothed(raw, settings.smooth), settings)
    height, width, _ = raw.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    return np.asarray(raw / white * (1 - settings.falloff * (x**2 + y**2) / 2)[..., None])


def _white_xyz(light: str) -> Array:
    """XYZ (3,) of a white surface under a light of luminance 1."""
    weights = hats(FINE).T @ (illuminant(light)[:, None] * observer())
    return np.asarray(weights.sum(axis=0))


def _through_lens(raw: Array, settings: CameraSettings) -> Array:
    """Scale, then the blurs of focus, hand and lens: all before light meets the sensor."""
    if settings.crop is not None:
        raw = settings.crop.scaled(raw)
    if settings.defocus > 0:
        raw = cv2.filter2D(raw, -1, disk(settings.defocus), borderType=cv2.BORDER_REFLECT)
    if settings.motion[0] > 0:
        raw = cv2.filter2D(raw, -1, smear(*settings.motion), borderType=cv2.BORDER_REFLECT)
    if settings.blur > 0:
        raw = cv2.GaussianBlur(raw, (0, 0), settings.blur)
    return raw


FAINT_DETAIL = 0.02
"""Size of detail in display values of which half is sharpened (our estimate)."""
COLOUR_NOISE = 0.4
"""Standard deviation of the noise in colour over that in lightness, after a phone's denoising (our
estimate)."""


def _noise(rgb: Array, electrons: float, rng: np.random.Generator) -> Array:
    """Noise (height, width, 3) that is left after a phone has denoised linear sRGB.

    Photons and reading set its size at each pixel's luminance. Lightness keeps fine grain, colour
    only faint, soft clouds: phones take the most from it, whatever their colour matrix adds.
    """
    lum = np.maximum(rgb @ LUMINANCE, 0.0)[..., None]
    sd = np.sqrt(lum / electrons + (2.5 / electrons) ** 2)
    grain, cloud = (
        cv2.GaussianBlur(rng.standard_normal((*lum.shape[:2], n)).astype(np.float32), (0, 0), s)
        for n, s in ((1, 0.6), (3, 2.2))
    )
    # Blurred by s, white noise keeps 1 / (2 s sqrt(pi)) of its standard deviation.
    cloud = cloud * (2 * 2.2 * np.sqrt(np.pi)) * COLOUR_NOISE * 0.55
    cloud = cloud - (cloud @ LUMINANCE)[..., None]
    grain = grain.reshape(*lum.shape[:2], 1)
    return np.asarray(sd * (1.2 * grain + cloud))
