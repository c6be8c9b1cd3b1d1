"""Rates with the doubt that their count leaves."""

import math
import statistics
from collections.abc import Sequence

from tipvision.teaching.intervals import wilson


def rate_line(name: str, hits: int, count: int, decimals: int = 0) -> str:
    """One printed line: k of n, the rate and its 95 % interval, in percent."""
    if count == 0:
        return f"{name}: none to count"
    low, high = wilson(hits, count)
    rate, low, high = (f"{share:.{decimals}%}" for share in (hits / count, low, high))
    return f"{name}: {hits} of {count} = {rate} (95 % interval {low} to {high})"


def median_interval(values: Sequence[float]) -> tuple[float, tuple[float, float]]:
    """Median, and its 95 % interval between order statistics (reference library: scipy's binomial,
    see the tests); of few values the interval is their whole range.

    Raises ValueError for no values.
    """
    if not values:
        raise ValueError("no values have no median")
    ordered, count = sorted(values), len(values)
    # As many are left out at each end as a fair coin's tails hold at most 2.5 % of.
    ways, left_out = 1, 0
    while 1000 * ways <= 25 * 2**count:
        left_out += 1
        ways += math.comb(count, left_out)
    first = max(left_out - 1, 0)
    return statistics.median(ordered), (ordered[first], ordered[count - 1 - first])
