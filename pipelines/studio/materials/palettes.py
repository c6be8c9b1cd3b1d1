"""Palettes: what the ceramics, deposits and metals of one plug look like.

A palette swaps or shifts matters; a look that is to show materials never seen elsewhere keeps some
palettes for itself. Within a palette each plug varies a little more. Source of all numbers: our
estimate, but for the measured spectra that `reflectances.toml` names.
"""

import tomllib
import zlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

import numpy as np

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.films import absorption, thick_reflectance
from pipelines.studio.materials.spectra import WAVELENGTHS, Matter, matter

_FILE = Path(__file__).with_name("palettes.toml")

BLACKS = ("soot", "loose_soot", "oily_soot", "oil")
"""They vary most: so dry and wet black share their colours, and only the shine parts them."""


@dataclass(frozen=True)
class Palette:
    """`use`: matter in place of another; `tint`: gain, tilt and bow of a matter's absorption."""

    name: str
    use: Mapping[str, str]
    tint: Mapping[str, tuple[float, float, float]]


def _read() -> dict[str, Palette]:
    with _FILE.open("rb") as file:
        raw = tomllib.load(file)
    return {
        name: Palette(
            name,
            MappingProxyType(dict(entry.get("use", {}))),
            MappingProxyType({k: (v[0], v[1], v[2]) for k, v in entry.get("tint", {}).items()}),
        )
        for name, entry in raw.items()
        if name != "source"
    }


PALETTES: Mapping[str, Palette] = MappingProxyType(_read())
"""All palettes by name. `bench` is that of the demo photos."""


def sample_palette(seed: int, allowed: Collection[str] | None = None) -> str:
    """The name of a palette, drawn from those allowed, or from all.

    Raises ValueError for an unknown name or when none is allowed.
    """
    names = sorted(PALETTES if allowed is None else allowed)
    unknown = [name for name in names if name not in PALETTES]
    if unknown or not names:
        what = f"no palette called {unknown[0]!r}" if unknown else "no palette is allowed"
        raise ValueError(f"{what}; known: {', '.join(PALETTES)}")
    return names[int(np.random.default_rng([seed, 21]).integers(len(names)))]


def tinted(reflectance: Array, gain: float, tilt: float, bow: float = 0.0) -> Array:
    """Reflectance (16,) with its absorption ratio times exp(gain + tilt·t + bow·t²).

    t runs from −1 at 400 to 1 at 700 nm: a negative tilt reddens, a negative bow lightens the ends.
    It stays within 0..1.
    """
    t = (WAVELENGTHS - 550.0) / 150.0
    return thick_reflectance(absorption(reflectance) * np.exp(gain + tilt * t + bow * t * t))


class Shelf:
    """Matters of one plug, each drawn once, so that all its parts share one soot."""

    def __init__(self, seed: int, palette: str | None) -> None:
        name = "bench" if palette is None else palette
        if name not in PALETTES:
            raise ValueError(f"no palette called {name!r}; known: {', '.join(PALETTES)}")
        self._seed, self._palette = seed, PALETTES[name]
        self._drawn: dict[str, Matter] = {}

    def __call__(self, name: str) -> Matter:
        """The plug's own matter of that name. The order of asking does not matter."""
        if name not in self._drawn:
            self._drawn[name] = self._draw(name)
        return self._drawn[name]

    def _draw(self, name: str) -> Matter:
        rng = np.random.default_rng([self._seed, 2, zlib.crc32(name.encode())])
        base = matter(self._palette.use.get(name, name), rng)
        gain, tilt, bow = self._palette.tint.get(name, (0.0, 0.0, 0.0))
        spread = 0.3 if name in BLACKS else 0.1
        if base.kind == "metal":
            spread = 0.05
        gain += spread * float(np.clip(rng.normal(), -2, 2))
        tilt += 0.5 * min(spread, 0.1) * float(np.clip(rng.normal(), -2, 2))
        return replace(base, name=name, reflectance=tinted(base.reflectance, gain, tilt, bow))
