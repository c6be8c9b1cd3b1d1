"""Pictures of the web and of catalogues: what is done to a photo after the camera.

Cut out on white or a flat colour, contrast and saturation drawn up or down, sharpened until edges
have halos, made small and large again, stored as JPEG in between. Pixels keep their places, so mask
and truth hold. Never for photos with a reference or a stored light: their colours could not be
undone. Source of all ranges: our estimate.
"""

from dataclasses import dataclass
from io import BytesIO

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

Shown = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class WebSettings:
    """How a displayed picture is worked over.

    `ground` 0..1 RGB of a flat colour in place of all but plugs, None keeps the background; `soft`
    sd in pixels of the cut's edge. `lift` stops of high key; `contrast` -0.4 (flat) to 1 (steep
    S-curve); `saturation` factor of colour about grey; `tint` (3,) factors of a room's cast;
    `local` 0..1 local contrast over large areas; `halo` amount and radius in pixels of
    over-sharpening; `vignette` 0..1 light lost in the corners; `longest` pixels of the longer side
    that it was stored with in between; `jpeg` quality of that, its colour at half scale.
    """

    ground: tuple[float, float, float] | None
    soft: float
    lift: float
    contrast: float
    saturation: float
    tint: tuple[float, float, float]
    local: float
    halo: tuple[float, float]
    vignette: float
    longest: int
    jpeg: int


CUT_OUT = 0.35
"""Share of the pictures that are cut out; most of those on white."""


def sample_web(seed: int) -> WebSettings:
    """Draw how the picture with this seed is worked over."""
    rng = np.random.default_rng([seed, 63])
    cut = rng.random() < CUT_OUT
    level = 1.0 if rng.random() < 0.7 else float(rng.uniform(0.05, 0.95))
    hue = rng.normal(0, 0.06, 3) if level < 1 else np.zeros(3)
    r, g, b = (float(v) for v in np.clip(level + hue, 0, 1))
    tint = np.exp(rng.normal(0, 0.06, 3) * (rng.random() < 0.4))
    tint = tint / tint.max()
    return WebSettings(
        ground=(r, g, b) if cut else None,
        soft=float(rng.uniform(0.5, 1.6)),
        lift=float(rng.uniform(0.0, 0.5)) if rng.random() < 0.4 else 0.0,
        contrast=float(rng.uniform(-0.4, 1.0)),
        saturation=float(np.exp(rng.normal(0, 0.28))),
        tint=(float(tint[0]), float(tint[1]), float(tint[2])),
        local=float(rng.uniform(0.1, 0.5)) if rng.random() < 0.3 else 0.0,
        halo=(float(rng.choice([0.0, rng.uniform(0.4, 1.6)])), float(rng.uniform(0.7, 2.0))),
        vignette=float(rng.uniform(0.1, 0.4)) if rng.random() < 0.25 and not cut else 0.0,
        longest=int(rng.integers(204, 401)),
        jpeg=int(rng.integers(40, 76)),
    )


def worked_over(shown: Shown, plug: npt.NDArray[np.bool_], settings: WebSettings) -> Shown:
    """The displayed picture (height, width, 3) uint8 worked over; same size.

    `plug` (height, width) says which pixels show a plug: a cut-out keeps those alone.
    """
    rgb = shown.astype(np.float32) / 255
    if settings.vignette > 0:
        height, width = plug.shape
        y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
        rgb = rgb * (1 - settings.vignette * (x**2 + y**2) / 2)[..., None].astype(np.float32)
    rgb = rgb * np.float32(settings.tint) * np.float32(2.0 ** (0.45 * settings.lift))
    rgb = _toned(np.clip(rgb, 0, 1), settings)
    if settings.ground is not None and plug.any():
        keep = cv2.GaussianBlur(plug.astype(np.float32), (0, 0), settings.soft)[..., None]
        rgb = keep * rgb + (1 - keep) * np.float32(settings.ground)
    return _passed_on(np.clip(rgb, 0, 1), settings)


def _toned(rgb: npt.NDArray[np.float32], settings: WebSettings) -> npt.NDArray[np.float32]:
    bent = rgb * rgb * (3 - 2 * rgb)
    rgb = rgb + np.float32(settings.contrast) * (bent - rgb)
    if settings.local > 0:
        wide = cv2.GaussianBlur(rgb, (0, 0), max(rgb.shape[:2]) / 20)
        rgb = rgb + np.float32(settings.local) * (rgb - wide)
    grey = (rgb @ np.float32([0.2126, 0.7152, 0.0722]))[..., None]
    return np.asarray(grey + np.float32(settings.saturation) * (rgb - grey), np.float32)


def _passed_on(rgb: npt.NDArray[np.float32], settings: WebSettings) -> Shown:
    """Made small, sharpened, stored and made as large as it was."""
    height, width = rgb.shape[:2]
    scale = min(1.0, settings.longest / max(height, width))
    size = max(8, round(width * scale)), max(8, round(height * scale))
    small = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)
    amount, radius = settings.halo
    if amount > 0:
        small = small + amount * (small - cv2.GaussianBlur(small, (0, 0), radius))
    buffer = BytesIO()
    stored = Image.fromarray(np.round(np.clip(small, 0, 1) * 255).astype(np.uint8))
    stored.save(buffer, "JPEG", quality=settings.jpeg, subsampling="4:2:0")
    back = np.asarray(Image.open(buffer).convert("RGB"))
    return np.asarray(cv2.resize(back, (width, height), interpolation=cv2.INTER_CUBIC), np.uint8)
