"""What the shop's own plugs look like, beside the reference bands: told, never used."""

from dataclasses import dataclass

import numpy as np

from tipvision.colour.difference import ciede2000
from tipvision.measure.bands import Band
from tipvision.teaching.rows import Rows


@dataclass(frozen=True)
class ShopBand:
    """Colours of a condition's noses, CIELAB under D65, 2° observer; each plug counts once.

    mean, sd: of L*, a*, b* over the shop's plugs; sd is NaN for a single plug. default_mean,
    default_sd: of the reference band. apart: CIEDE2000 between the means. n: plugs.
    """

    name: str
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    default_mean: tuple[float, ...]
    default_sd: tuple[float, ...]
    apart: float
    n: int


def shop_bands(rows: Rows, bands: tuple[Band, ...]) -> tuple[ShopBand, ...]:
    """The bands of the conditions that the shop has plugs of."""
    found = []
    for band in bands:
        own = rows.where(rows.label == band.name)
        plugs = np.unique(own.plug)
        if len(plugs) == 0:
            continue
        lab = np.array([own.lab[own.plug == plug].mean(axis=0) for plug in plugs])
        mean = lab.mean(axis=0)
        sd = lab.std(axis=0, ddof=1) if len(plugs) > 1 else np.full(3, np.nan)
        found.append(
            ShopBand(
                name=band.name,
                mean=tuple(mean.tolist()),
                sd=tuple(sd.tolist()),
                default_mean=tuple(band.mean.tolist()),
                default_sd=tuple(band.sd.tolist()),
                apart=float(ciede2000(mean, band.mean)),
                n=len(plugs),
            )
        )
    return tuple(found)
