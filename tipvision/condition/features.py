"""From a measurement to the named features that decide, each one a technician can look at."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.difference import ciede2000
from tipvision.measure.bands import BAND_NAMES, Band
from tipvision.measure.beside import METALS
from tipvision.measure.coat import COAT_SIGNS
from tipvision.measure.measurement import Measurement

UNDER_LIGHT = (
    "lightness",
    "red",
    "yellow",
    "red_tint",
    "yellow_tint",
    *(f"to_{name}" for name in BAND_NAMES),
    "metal_red_tint",
    "metal_yellow_tint",
)
"""Features that depend on the light: one value for each of its draws."""

_LOGARITHMS = {"shine": 0.0, "specks": 0.003, "texture": 0.1, "evenness": 0.3}
"""Measures whose logarithm is a feature, with what is added before (our estimate)."""

_RELIEF = ("sharpest", "upper", "lower", "glare_spots", "grain", "grain_up", "grain_down")
_SHADES = ("lumps", "lumps_up", "lumps_down", "shading", "tints")
_OF_METAL = tuple(f"{what}_{part}" for part in METALS for what in ("nose_to", "redder", "bluer"))
_METAL = tuple(f"{part}_{what}" for part in METALS for what in ("glint", "grain", "sparkle"))
_REST = (
    "nose_to_ground",
    "best_to_metal",
    "nose_to_brightest",
    "nose_to_darkest",
    "sparkle",
    "shell_to_ground",
    "strap_to_shell",
    "electrode_to_strap",
    "metal_to_brightest",
    "strap_fill",
    "electrode_fill",
    "electrode_size",
)
SIGNS = (*_RELIEF, *_SHADES, *_OF_METAL, *_METAL, *_REST, *COAT_SIGNS)
SEEN = tuple(f"{part}_seen" for part in (*METALS, "ground"))
"""1 where that part shows, 0 where it does not and what is said of it is what is usual."""

ONCE = (*_LOGARITHMS, "glare", *(f"share_{name}" for name in BAND_NAMES[:-1]), *SIGNS, *SEEN)
"""Features that the light's level does not move: one value each."""

NAMES = (*UNDER_LIGHT, *ONCE)


@dataclass(frozen=True)
class Features:
    """under_light: float64 (n, len(UNDER_LIGHT)), a row for each draw of the light; once: float64
    (len(ONCE),). NaN where the part that a feature is about does not show."""

    under_light: NDArray[np.float64]
    once: NDArray[np.float64]

    def rows(self) -> NDArray[np.float64]:
        """All features in the order of `NAMES`, float64 (n, len(NAMES))."""
        once = np.broadcast_to(self.once, (len(self.under_light), len(self.once)))
        return np.concatenate([self.under_light, once], axis=1)


def features_of(measurement: Measurement, bands: Sequence[Band]) -> Features:
    """The features of a measurement.

    bands: as `load_bands` gives them, for the distances under each draw of the light.
    Raises ValueError when the measurement has no sample of the light.
    """
    if len(measurement.samples) == 0:
        raise ValueError("a measurement without samples of the light has no features")
    once = {
        **{name: _ln(getattr(measurement, name) + more) for name, more in _LOGARITHMS.items()},
        "glare": measurement.glare,
        **{f"share_{name}": share for name, share in measurement.shares.items()},
        **measurement.signs,
        **{f"{part}_seen": float(f"nose_to_{part}" in measurement.signs) for part in METALS},
        "ground_seen": float("nose_to_ground" in measurement.signs),
    }
    return Features(
        _under_light(measurement, bands),
        np.array([once.get(name, np.nan) for name in ONCE], np.float64),
    )


def _under_light(measurement: Measurement, bands: Sequence[Band]) -> NDArray[np.float64]:
    lab = measurement.samples
    apart = ciede2000(lab[:, None], np.stack([band.mean for band in bands]))
    metal = measurement.metal if len(measurement.metal) else np.full_like(lab, np.nan)
    return np.column_stack([lab, _tints(lab), apart, _tints(metal)])


def _tints(lab: NDArray[np.float64]) -> NDArray[np.float64]:
    """a* and b* over L* + 16, float64 (n, 2): above black, no exposure moves them."""
    return np.asarray(lab[:, 1:] / np.maximum(lab[:, :1] + 16.0, 1.0))


def _ln(value: float) -> float:
    return float(np.log(max(value, 1e-9)))


@dataclass(frozen=True)
class Wording:
    """How a feature is told: `text` with {} for the number; `scale` is how that is written."""

    text: str
    scale: str


@cache
def wordings() -> dict[str, Wording]:
    """By the name of a feature; of what the coat nets see, `evidence` makes one sentence itself."""
    text = resources.files("tipvision.condition").joinpath("wordings.toml").read_text("utf-8")
    return {name: Wording(**entry) for name, entry in tomllib.loads(text).items()}
