"""Rates with the doubt that their count leaves."""

import math

Z_95 = 1.959964


def wilson(hits: float, count: float) -> tuple[float, float]:
    """95 % score interval of a rate, 0 to 1 (reference library: scipy, see the tests)."""
    if count == 0:
        return 0.0, 1.0
    rate, z2 = hits / count, Z_95**2
    middle = (rate + z2 / (2 * count)) / (1 + z2 / count)
    half = Z_95 / (1 + z2 / count) * math.sqrt(rate * (1 - rate) / count + z2 / (4 * count**2))
    return max(0.0, middle - half), min(1.0, middle + half)
