"""Matters of benches, gloves, tools and other parts: their own table beside that of the plugs."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from pipelines.studio.materials import spectra
from pipelines.studio.materials.spectra import WAVELENGTHS, Matter
from pipelines.studio.materials.surface import Layer, Surface

_FILE = Path(__file__).with_name("world.toml")


@cache
def table() -> dict[str, Any]:
    """The table as it stands in the file, with `nm` and `source`."""
    with _FILE.open("rb") as file:
        return tomllib.load(file)


def matter(name: str, rng: np.random.Generator | None = None) -> Matter:
    """The matter of that name from this table, else from the plugs'; roughness as there.

    Raises KeyError when neither has it.
    """
    entry = table().get(name)
    if not isinstance(entry, dict):
        return spectra.matter(name, rng)
    alpha = entry["alpha"]
    if isinstance(alpha, list):
        alpha = float(np.mean(alpha)) if rng is None else float(rng.uniform(*alpha))
    reflectance = np.interp(WAVELENGTHS, table()["nm"], entry["r"])
    return Matter(name, entry["kind"], reflectance, float(alpha))


def plain(name: str, rng: np.random.Generator | None = None) -> Surface:
    """A surface of one matter all over."""
    return Surface((Layer(matter(name, rng)),))
