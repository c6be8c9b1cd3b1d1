"""Quantiles of many pixels, several of them at a time."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

MAD_TO_SD = 1.4826  # of a normal distribution


def quantiles(values: NDArray[np.floating[Any]], shares: Sequence[float]) -> list[float]:
    """Quantiles as `numpy.quantile` gives them, for less: that looks for NaN as well, and its first
    use loads masked arrays.

    values: floats (n,), n ≥ 1, without NaN. shares: 0 to 1.
    Source: reference library: numpy 2.4, method "linear" (the tests hold it to that).
    """
    ordered, last = values.copy(), values.size - 1
    found: dict[float, float] = {}
    begin = 0
    for share in sorted(shares):  # one after another: for several at once numpy is far slower
        i = int(share * last)
        ordered[begin:].partition(i - begin)  # what is left of `begin` is no higher
        low = float(ordered[i])
        high = float(ordered[i + 1 :].min()) if i < last else low
        found[share] = low + (high - low) * (share * last - i)
        begin = i
    return [found[share] for share in shares]


def median(values: NDArray[np.floating[Any]]) -> float:
    """The middle of floats (n,), n ≥ 1, without NaN."""
    return quantiles(values, (0.5,))[0]


def channel_medians(pixels: NDArray[np.float32]) -> NDArray[np.float64]:
    """The median of each channel of pixels, float32 (n, 3); float64 (3,)."""
    return np.array([median(np.ascontiguousarray(channel)) for channel in pixels.T])


def spread(values: NDArray[np.float32], middle: float | None = None) -> float:
    """Robust standard deviation, from the median distance to the median.

    middle: the median, where it is known already.
    """
    middle = median(values) if middle is None else middle
    return MAD_TO_SD * median(np.abs(values - np.float32(middle)))
