"""Reflectance spectra on the studio's wavelengths, their mixtures and their colour."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from pipelines.studio.geometry.mesh import Array

WAVELENGTHS: Array = np.arange(400.0, 701.0, 20.0)
"""Sixteen wavelengths in nm at which radiance is rendered."""

_FILE = Path(__file__).with_name("reflectances.toml")


@dataclass(frozen=True)
class Matter:
    """One kind of surface: `reflectance` (16,) in 0..1, `alpha` its roughness, 0 for no gloss."""

    name: str
    kind: str
    reflectance: Array
    alpha: float


@cache
def _table() -> dict[str, Any]:
    with _FILE.open("rb") as file:
        return tomllib.load(file)


def matter(name: str, rng: np.random.Generator | None = None) -> Matter:
    """The matter of that name; roughness drawn by `rng` from its range, or the middle of it.

    Raises KeyError with the known names when there is none.
    """
    table = _table()
    if name in ("nm", "source") or name not in table:
        known = ", ".join(k for k in table if k not in ("nm", "source"))
        raise KeyError(f"no matter called {name!r} in {_FILE.name}; known: {known}")
    entry = table[name]
    alpha = entry["alpha"]
    if isinstance(alpha, list):
        alpha = float(np.mean(alpha)) if rng is None else float(rng.uniform(*alpha))
    reflectance = np.interp(WAVELENGTHS, table["nm"], entry["r"])
    return Matter(name, entry["kind"], reflectance, float(alpha))


def lab(reflectance: Array) -> Array:
    """CIELAB (…, 3) of reflectance spectra (…, 16) under D65, 2° observer.

    Tables: reference library colour-science (CIE D65, CIE 1931 observer); straight lines between
    the sixteen wavelengths, constant beyond their ends.
    """
    weights, white = _xyz_weights()
    t = (reflectance @ weights) / white
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return np.stack(
        [
            116 * f[..., 1] - 16,
            500 * (f[..., 0] - f[..., 1]),
            200 * (f[..., 1] - f[..., 2]),
        ],
        axis=-1,
    )


def hats(fine: Array) -> Array:
    """Weights (n, 16) that interpolate spectra from `WAVELENGTHS` to wavelengths `fine` (n,)."""
    return np.stack([np.interp(fine, WAVELENGTHS, row) for row in np.eye(len(WAVELENGTHS))], 1)


@cache
def _xyz_weights() -> tuple[Array, Array]:
    from pipelines.studio.lights.spectra import FINE, illuminant, observer

    product = illuminant("D65")[:, None] * observer()
    weights = hats(FINE).T @ product
    return weights, product.sum(axis=0)
