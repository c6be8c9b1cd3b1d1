"""The printed colours of the 24-patch chart, by edition."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.adaptation import bradford
from tipvision.colour.chromaticity import D65_WHITE, xy_to_xyz

COLUMNS, ROWS = 6, 4
NEUTRALS = slice(18, 24)
"""The last row: white, four greys, black."""

LATEST = "after_2014_11"


@dataclass(frozen=True)
class Edition:
    """One edition of the chart.

    name:  as `editions.toml` has it.
    words: which charts that are, in plain words.
    xyz:   float64 (24, 3), CIE XYZ under D65, 2° observer, Y of a perfect white = 1, row by row
           from the top left; adapted by Bradford from the illuminant of the edition's measurement;
           read-only.
    """

    name: str
    words: str
    xyz: NDArray[np.float64]


@cache
def editions() -> Mapping[str, Edition]:
    """Every edition by its name (reference library: colour-science 0.4.7, CCS_COLOURCHECKERS)."""
    text = resources.files("tipvision.light.chart").joinpath("editions.toml").read_text("utf-8")
    known = {}
    for name, entry in tomllib.loads(text)["edition"].items():
        xyy = np.array(entry["xyY"], np.float64)
        measured = xy_to_xyz(xyy[:, :2]) * xyy[:, 2:]
        adaptation = bradford(xy_to_xyz(entry["illuminant_xy"]), D65_WHITE)
        xyz = measured @ adaptation.T
        xyz.flags.writeable = False
        known[name] = Edition(name, entry["words"], xyz)
    return MappingProxyType(known)


def edition_of(name: str) -> Edition:
    """The edition of that name; ValueError that lists the names when there is none."""
    known = editions()
    if name not in known:
        raise ValueError(f'No chart edition is called "{name}". Give one of: {", ".join(known)}.')
    return known[name]
