"""Colour temperature: from kelvin to a white, and from a white to its kelvin."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

WARMEST, COOLEST = 1700.0, 25000.0  # kelvin
_DAYLIGHT_FROM = 4000.0  # kelvin, where the daylight locus of CIE 15 begins
_FARTHEST = 0.05  # in CIE 1960 u, v: beyond it CIE 15 gives a colour no temperature


def planckian_xy(kelvin: ArrayLike) -> NDArray[np.float64]:
    """Chromaticity of a black body.

    Parameters
    ----------
    kelvin: numbers of any shape, 1667 to 25000 K (not checked here: `white_at` checks).

    Returns
    -------
    float64 (..., 2), x and y, CIE 1931, 2° observer.

    Source: Kang et al. 2002, cubic fits (reference library: colour-science 0.4.7,
    `CCT_to_xy_Kang2002`).
    """
    t = 1000.0 / np.asarray(kelvin, dtype=np.float64)
    x = np.where(
        t >= 1000.0 / 4000.0,
        np.polyval([-0.2661239, -0.2343589, 0.8776956, 0.179910], t),
        np.polyval([-3.0258469, 2.1070379, 0.2226347, 0.240390], t),
    )
    y = np.where(
        t >= 1000.0 / 2222.0,
        np.polyval([-1.1063814, -1.34811020, 2.18555832, -0.20219683], x),
        np.where(
            t >= 1000.0 / 4000.0,
            np.polyval([-0.9549476, -1.37418593, 2.09137015, -0.16748867], x),
            np.polyval([3.0817580, -5.87338670, 3.75112997, -0.37001483], x),
        ),
    )
    return np.stack([x, y], axis=-1)


def daylight_xy(kelvin: ArrayLike) -> NDArray[np.float64]:
    """Chromaticity of a phase of daylight.

    Parameters
    ----------
    kelvin: numbers of any shape, correlated colour temperature, 4000 to 25000 K (not checked
            here: `white_at` checks). D65 itself lies at 6504 K.

    Returns
    -------
    float64 (..., 2), x and y, CIE 1931, 2° observer.

    Source: CIE 15, daylight locus (reference library: colour-science 0.4.7, `CCT_to_xy_CIE_D`).
    """
    t = 1000.0 / np.asarray(kelvin, dtype=np.float64)
    x = np.where(
        t >= 1000.0 / 7000.0,
        np.polyval([-4.6070, 2.9678, 0.09911, 0.244063], t),
        np.polyval([-2.0064, 1.9018, 0.24748, 0.237040], t),
    )
    return np.stack([x, np.polyval([-3.0, 2.870, -0.275], x)], axis=-1)


def white_at(kelvin: float) -> NDArray[np.float64]:
    """The white that is meant when a lamp is named by its kelvin alone.

    Daylight from 4000 K up, a black body below; at 4000 K the two lie 0.0027 apart in CIE 1960
    u, v (daylight is the greener).

    Parameters
    ----------
    kelvin: 1700 to 25000.

    Returns
    -------
    float64 (2,), x and y, CIE 1931, 2° observer.

    Raises
    ------
    ValueError: `kelvin` is outside that range or not a number.
    """
    if not WARMEST <= kelvin <= COOLEST:
        raise ValueError(
            f"{kelvin:g} K is not a white that can be worked out: "
            f"give {WARMEST:.0f}K to {COOLEST:.0f}K."
        )
    return daylight_xy(kelvin) if kelvin >= _DAYLIGHT_FROM else planckian_xy(kelvin)


def cct(xy: ArrayLike) -> NDArray[np.float64]:
    """Correlated colour temperature.

    Parameters
    ----------
    xy: numbers (..., 2), CIE 1931 chromaticity, 2° observer.

    Returns
    -------
    float64 (...), kelvin, 1700 to 25000; NaN for a colour outside that range, farther than 0.05
    from the black body in CIE 1960 u, v, or NaN itself.

    Raises
    ------
    ValueError: the last axis does not have length 2.

    Source: the definition of CIE 15 (nearest black body in CIE 1960 u, v) on the cubic fits of
    Kang et al. 2002, walked in steps of one reciprocal megakelvin (reference library:
    colour-science 0.4.7; the tests hold it to 0.5 % of Ohno 2013).
    """
    pair = np.asarray(xy, dtype=np.float64)
    if pair.ndim == 0 or pair.shape[-1] != 2:
        raise ValueError(f"xy needs two numbers on its last axis; its shape is {pair.shape}.")
    mired, start, step, length = _locus()
    with np.errstate(invalid="ignore", divide="ignore"):
        away = _uv(pair)[..., np.newaxis, :] - start
        along = (away * step).sum(axis=-1) / length**2  # share of the step, any real number
        held = np.clip(along, 0.0, 1.0)
        gap = np.linalg.norm(away - held[..., np.newaxis] * step, axis=-1)
    lost = ~np.isfinite(gap).all(axis=-1)
    nearest = np.argmin(np.where(lost[..., np.newaxis], 0.0, gap), axis=-1)[..., np.newaxis]
    share = np.take_along_axis(along, nearest, axis=-1)[..., 0]
    distance = np.take_along_axis(gap, nearest, axis=-1)[..., 0]
    # One step beyond either end is the slack of the fits; what lies farther has no answer here.
    lost |= (distance > _FARTHEST) | (share < -1.0) & (nearest[..., 0] == 0)
    lost |= (share > 2.0) & (nearest[..., 0] == len(start) - 1)
    kelvin = 1e6 / (mired[nearest[..., 0]] + np.clip(share, 0.0, 1.0))
    return np.where(lost, np.nan, np.clip(kelvin, WARMEST, COOLEST))


@cache
def _locus() -> tuple[
    NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]
]:
    """Steps of one mired along the black bodies: their start in mired and u, v; reach; length."""
    mired = np.arange(1e6 / COOLEST, 1e6 / WARMEST + 1.0)
    uv = _uv(planckian_xy(1e6 / mired))
    step = np.diff(uv, axis=0)
    return mired[:-1], uv[:-1], step, np.linalg.norm(step, axis=-1)


def _uv(xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1960 u, v."""
    x, y = xy[..., 0], xy[..., 1]
    scale = -2.0 * x + 12.0 * y + 3.0
    return np.stack([4.0 * x / scale, 6.0 * y / scale], axis=-1)
