"""The four reference bands of tip colour, and how near a colour is to each."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.difference import ciede2000

BAND_NAMES = ("normal", "dry_black", "wet_black", "chalk_white")


@dataclass(frozen=True)
class Band:
    """One reference band; colours are CIELAB under D65, 2° observer.

    name:        one of `BAND_NAMES`.
    title:       what it looks like, in plain words.
    pattern:     what fills its swatch on a grey print; no two bands share one.
    mean:        float64 (3,), L* (0 to 100), a*, b*; read-only.
    sd:          float64 (3,), standard deviation of each; read-only.
    correlation: float64 (3, 3) between the three; read-only.
    origin:      where the band comes from, as the closed list of sources words it.
    """

    name: str
    title: str
    pattern: str
    mean: NDArray[np.float64]
    sd: NDArray[np.float64]
    correlation: NDArray[np.float64]
    origin: str

    @property
    def covariance(self) -> NDArray[np.float64]:
        """float64 (3, 3), positive definite."""
        spread: NDArray[np.float64] = self.correlation * np.outer(self.sd, self.sd)
        return spread


@cache
def load_bands() -> tuple[Band, ...]:
    """The bands that ship with the package, in the order of `BAND_NAMES`."""
    return parse_bands(
        resources.files("tipvision.measure").joinpath("bands.toml").read_text("utf-8")
    )


def parse_bands(text: str) -> tuple[Band, ...]:
    """The bands of a text like bands.toml, in the order of `BAND_NAMES`.

    Raises
    ------
    ValueError: it is not TOML, does not hold exactly the four bands with every key, a number is
                missing or not finite, a spread is not positive definite, or two bands share a
                pattern.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(_bad(str(error))) from error
    tables = {name: entry for name, entry in data.items() if isinstance(entry, dict)}
    if set(tables) != set(BAND_NAMES):
        raise ValueError(_bad(f"it names {sorted(tables)} where {sorted(BAND_NAMES)} belong"))
    bands = tuple(_band(name, tables[name]) for name in BAND_NAMES)
    if len({band.pattern for band in bands}) < len(bands):
        raise ValueError(_bad("two bands share a pattern"))
    return bands


def distances(lab: ArrayLike, bands: Sequence[Band]) -> dict[str, float]:
    """How far one colour is from each band.

    Parameters
    ----------
    lab:   numbers (3,), CIELAB under D65, 2° observer, L* 0 to 100.
    bands: as `load_bands` gives them.

    Returns
    -------
    CIEDE2000 to the mean of each band, by its name; NaN for a colour that holds NaN. The band's
    spread plays no part. `normal` is broad: a good off-white nose can stand nearer to the mean of
    `chalk_white`, and a dark brown one nearer to a black, so no distance is a verdict.

    Raises
    ------
    ValueError: `lab` is not one colour of three numbers.

    Source of the method: our own; of the measure: see `colour.difference.ciede2000`.
    """
    if np.shape(lab) != (3,):
        raise ValueError(f"distances takes one colour of three numbers, not {np.shape(lab)}.")
    apart = ciede2000(lab, np.stack([band.mean for band in bands]))
    return {band.name: float(d) for band, d in zip(bands, apart, strict=True)}


def nearest(lab: ArrayLike, bands: Sequence[Band]) -> NDArray[np.intp]:
    """Which band's mean each colour is nearest to, by CIEDE2000.

    Parameters
    ----------
    lab:   numbers (..., 3), CIELAB under D65, 2° observer, such as the zones of a nose.
    bands: as `load_bands` gives them.

    Returns
    -------
    intp (...), index into `bands`; -1 where a colour holds NaN or infinity.

    Raises
    ------
    ValueError: the last axis does not have length 3.
    """
    colours = np.asarray(lab, dtype=np.float64)
    means = np.stack([band.mean for band in bands])
    apart = ciede2000(colours[..., np.newaxis, :], means)
    known: NDArray[np.bool_] = np.asarray(np.isfinite(apart).all(axis=-1))
    index = np.argmin(np.where(known[..., np.newaxis], apart, 0.0), axis=-1)
    return np.where(known, index, -1)


def _band(name: str, entry: dict[str, Any]) -> Band:
    try:
        words = [str(entry[key]) for key in ("title", "pattern", "origin")]
        mean = _array(entry["mean"], (3,))
        sd = _array(entry["sd"], (3,))
        correlation = _array(entry["correlation"], (3, 3))
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(_bad(f"{name}: {error}")) from error
    band = Band(name, words[0], words[1], mean, sd, correlation, words[2])
    symmetric = np.array_equal(correlation, correlation.T) and np.all(np.diag(correlation) == 1.0)
    if not (symmetric and (sd > 0.0).all() and np.linalg.eigvalsh(band.covariance)[0] > 0.0):
        raise ValueError(_bad(f"{name}: its spread is not positive definite"))
    return band


def _array(values: object, shape: tuple[int, ...]) -> NDArray[np.float64]:
    array = np.array(values, dtype=np.float64)
    if array.shape != shape or not np.isfinite(array).all():
        raise ValueError(f"{values} is not {' by '.join(map(str, shape))} finite numbers")
    array.flags.writeable = False
    return array


def _bad(fault: str) -> str:
    return f"bands.toml cannot be used: {fault}. Make it again with: python -m pipelines.bands"
