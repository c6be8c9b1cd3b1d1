"""How different two colours look."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.triples import triples

_HALF_TURN_SLACK = 1e-9  # degrees


def ciede2000(lab1: ArrayLike, lab2: ArrayLike) -> NDArray[np.float64]:
    """CIEDE2000 colour difference, with kL = kC = kH = 1.

    Parameters
    ----------
    lab1, lab2: numbers (..., 3), CIELAB under one white (in this project D65, 2° observer), L* 0
                to 100. The leading shapes broadcast against each other.

    Returns
    -------
    float64 of the broadcast leading shape, 0 or more; NaN where an input is NaN.

    Raises
    ------
    ValueError: a last axis does not have length 3, or the shapes do not broadcast.

    Source: CIE 142 and ISO/CIE 11664-6; the letters, and the rule for the mean hue, follow Sharma,
    Wu and Dalal 2005 (reference library: colour-science 0.4.7 and scikit-image 0.26). Hues half a
    turn apart to within 1e-9 degrees count as exactly half a turn, as that rule has it; without
    this, rounding in `arctan2` would pick the mean hue.
    """
    first, second = triples(lab1, "Lab"), triples(lab2, "Lab")
    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
        return _ciede2000(first, second)


def _ciede2000(lab1: NDArray[np.float64], lab2: NDArray[np.float64]) -> NDArray[np.float64]:
    L1, a1, b1 = lab1[..., 0], lab1[..., 1], lab1[..., 2]
    L2, a2, b2 = lab2[..., 0], lab2[..., 1], lab2[..., 2]

    C_bar = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0
    G = 0.5 * (1.0 - _chroma_weight(C_bar))
    a1p, a2p = (1.0 + G) * a1, (1.0 + G) * a2
    C1p, C2p = np.hypot(a1p, b1), np.hypot(a2p, b2)
    h1p = np.degrees(np.arctan2(b1, a1p)) % 360.0
    h2p = np.degrees(np.arctan2(b2, a2p)) % 360.0

    grey = C1p * C2p == 0.0
    turn = h2p - h1p
    near = np.abs(turn) <= 180.0 + _HALF_TURN_SLACK
    dhp = np.where(near, turn, np.where(turn > 0.0, turn - 360.0, turn + 360.0))
    dhp = np.where(grey, 0.0, dhp)
    dLp = L2 - L1
    dCp = C2p - C1p
    dHp = 2.0 * np.sqrt(C1p * C2p) * np.sin(np.radians(dhp / 2.0))

    Lp_bar = (L1 + L2) / 2.0
    Cp_bar = (C1p + C2p) / 2.0
    total = h1p + h2p
    far_mean = np.where(total < 360.0, total + 360.0, total - 360.0) / 2.0
    hp_bar = np.where(grey, total, np.where(near, total / 2.0, far_mean))

    T = (
        1.0
        - 0.17 * _cos(hp_bar - 30.0)
        + 0.24 * _cos(2.0 * hp_bar)
        + 0.32 * _cos(3.0 * hp_bar + 6.0)
        - 0.20 * _cos(4.0 * hp_bar - 63.0)
    )
    dtheta = 30.0 * np.exp(-(((hp_bar - 275.0) / 25.0) ** 2))
    RC = 2.0 * _chroma_weight(Cp_bar)
    SL = 1.0 + 0.015 * (Lp_bar - 50.0) ** 2 / np.sqrt(20.0 + (Lp_bar - 50.0) ** 2)
    SC = 1.0 + 0.045 * Cp_bar
    SH = 1.0 + 0.015 * Cp_bar * T
    RT = -np.sin(np.radians(2.0 * dtheta)) * RC

    lightness, chroma, hue = dLp / SL, dCp / SC, dHp / SH
    square = lightness**2 + chroma**2 + hue**2 + RT * chroma * hue
    difference: NDArray[np.float64] = np.sqrt(np.maximum(square, 0.0))
    return difference


def _chroma_weight(C: NDArray[np.float64]) -> NDArray[np.float64]:
    power = C**7
    weight: NDArray[np.float64] = np.sqrt(power / (power + 25.0**7))
    return weight


def _cos(degrees: NDArray[np.float64]) -> NDArray[np.float64]:
    cosine: NDArray[np.float64] = np.cos(np.radians(degrees))
    return cosine
