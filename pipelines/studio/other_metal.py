"""Metal as other makers, years of use and lamps leave it, beyond what the studio's own shows.

Straps, electrodes and shells of real photos are brighter or darker beside the nose than rendered
ones, of other tints, blotched, and of far more contrast from pixel to pixel. What a nose is like
must not be read from how well the studio knows metal, so in a share of a look's photos the light
from metal is changed before the camera sees it; nose and ground stay. Source of all ranges: our
estimate.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.labels import LABEL_OF
from pipelines.studio.truth import PLUG_STEP

Picture = npt.NDArray[np.float32]

METAL = tuple(LABEL_OF[part] for part in ("electrode", "strap", "shell"))
BANDS = 16
FINEST = 8
"""The metal's fine detail is what differs from the light within the nose's width over this."""

LEAST = 1e-4
"""Of radiance: darker is as good as black, and has no detail."""

MOST = 1.6
"""Of ln light: no metal is changed by more."""


@dataclass(frozen=True)
class OtherMetal:
    """How metal differs from the studio's.

    `level` is an ln factor on all its light, `tint` one on the last band and against the first
    (above 0: warmer); `contrast` a factor on its fine detail; `blotch` the spread of ln light over
    blotches, `size` their width in widths of the nose, `stain` the spread of the tint over them.
    """

    level: float
    tint: float
    contrast: float
    blotch: float
    size: float
    stain: float


def sample_metal(seed: int) -> OtherMetal:
    """Draw how the metal of the photo with this seed differs."""
    rng = np.random.default_rng([seed, 67])
    return OtherMetal(
        level=float(rng.normal(0.0, 0.35)),
        tint=float(rng.normal(0.0, 0.2)),
        contrast=float(np.exp(rng.normal(0.5, 0.5))),
        blotch=float(np.exp(rng.normal(-1.4, 0.6))),
        size=float(np.exp(rng.uniform(np.log(0.05), np.log(0.6)))),
        stain=float(np.exp(rng.normal(-2.2, 0.7))),
    )


def metal_gain(mask: npt.NDArray[np.uint8], light: Picture, nose: float, seed: int) -> Picture:
    """Factors (height, width, 16) on the light of a render, 1 wherever no metal is.

    `mask` (height, width) as in a render; `light` (height, width) its mean radiance over bands and
    lamps; `nose` the width in pixels of the nose that counts.
    """
    wanted = sample_metal(seed)
    metal = np.isin(mask % PLUG_STEP, METAL).astype(np.float32)
    ln = np.log(np.maximum(light, LEAST))
    wide = max(nose / FINEST, 1.0)
    within = np.maximum(cv2.GaussianBlur(metal, (0, 0), wide), 1e-3)
    detail = ln - cv2.GaussianBlur(ln * metal, (0, 0), wide) / within
    cloud, hue = (_clouds(metal.shape, max(wanted.size * nose, 0.7), seed, k) for k in (0, 1))
    level = wanted.level + wanted.blotch * cloud + (wanted.contrast - 1.0) * detail
    slope = np.linspace(-1.0, 1.0, BANDS, dtype=np.float32)
    told = level[..., None] + (wanted.tint + wanted.stain * hue)[..., None] * slope
    edged = cv2.GaussianBlur(metal, (0, 0), 0.5) * metal
    return np.exp(np.clip(told, -MOST, MOST) * edged[..., None], dtype=np.float32)


def _clouds(shape: tuple[int, ...], size: float, seed: int, number: int) -> Picture:
    """Soft noise (height, width) of that width in pixels, mean 0, spread 1."""
    rng = np.random.default_rng([seed, 68, number])
    few = tuple(max(2, round(side / size) + 2) for side in shape)
    coarse = rng.standard_normal(few).astype(np.float32)
    soft = cv2.resize(coarse, shape[::-1], interpolation=cv2.INTER_CUBIC)
    return np.asarray((soft - soft.mean()) / max(float(soft.std()), 1e-6), np.float32)
