"""Exposure and tone: the meter, tone curves, and drawing large bright and dark areas together."""

import cv2
import numpy as np

from pipelines.studio.geometry.mesh import Array


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
    return min(max(0.20 / max(mean, 1e-9), 0.45 / max(top, 1e-9)), 0.95 / max(top, 1e-9))


CURVES = ("s", "none", "film", "flat", "gamma")
"""Tone curves: sRGB with an S-curve; plain sRGB; a shoulder and a lifted toe; low contrast; a plain
power of 1/2.2. Source: our estimate."""
FILM_WHITE = 1.8
"""Greater, and the shoulder is longer and all that lies under it brighter."""


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
        # A shoulder that starts early: x(1+x/w²)/(1+x), which reaches 1 at the white w.
        x = FILM_WHITE * clipped
        clipped = x * (1 + x / FILM_WHITE**2) / (1 + x)
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
