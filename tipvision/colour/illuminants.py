"""Whites of lamps that have a name, or only a number of kelvin."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.temperature import cct, white_at

__all__ = ["Illuminant", "cct", "illuminants", "white_of"]

_KELVIN = re.compile(r"(\d+(?:\.\d+)?) ?K", re.IGNORECASE)


@dataclass(frozen=True)
class Illuminant:
    """One standard illuminant.

    name:  as CIE 15 has it, such as "D65", "F11" or "LED-B3".
    xy:    float64 (2,), chromaticity, CIE 1931, 2° observer; read-only.
    words: what kind of lamp that is, in plain words.
    """

    name: str
    xy: NDArray[np.float64]
    words: str


@cache
def illuminants() -> Mapping[str, Illuminant]:
    """Every named illuminant by its name, in the order of `illuminants.toml`."""
    text = resources.files("tipvision.colour").joinpath("illuminants.toml").read_text("utf-8")
    known = {}
    for name, entry in tomllib.loads(text)["illuminant"].items():
        xy = np.array(entry["xy"], dtype=np.float64)
        xy.flags.writeable = False
        known[name] = Illuminant(name, xy, entry["words"])
    return MappingProxyType(known)


def white_of(name: str) -> NDArray[np.float64]:
    """The white of a lamp.

    Parameters
    ----------
    name: an illuminant of `illuminants()`, upper or lower case ("FL11" is taken as "F11"), or a
          colour temperature such as "4000K": daylight from 4000 K up, a black body below (see
          `temperature.white_at`), 1700 to 25000.

    Returns
    -------
    float64 (2,), chromaticity x, y, CIE 1931, 2° observer.

    Raises
    ------
    ValueError: no lamp of that name is known, or the kelvin are out of range.

    Source: `illuminants.toml` for the names, `temperature` for kelvin.
    """
    asked = name.strip().upper()
    if match := _KELVIN.fullmatch(asked):
        return white_at(float(match[1]))
    known = illuminants()
    for candidate in (asked, re.sub(r"^FL(?=\d)", "F", asked)):
        if candidate in known:
            return known[candidate].xy.copy()
    raise ValueError(
        f'No light is called "{name}". Give kelvin, such as 4000K, or one of: {", ".join(known)}.'
    )
