"""Natural cubic splines: curves that bend between knots and go on straight beyond the last."""

import numpy as np
from numpy.typing import NDArray

BEYOND = 0.25  # of the knots' span: values further out count as that far (our estimate)


def columns_of(values: NDArray[np.float64], knots: NDArray[np.float64]) -> NDArray[np.float64]:
    """Columns of each feature: its value on its knots' span, and a bent one for each knot but two.

    values: float64 (n, f). knots: float64 (f, k), rising in each row, k ≥ 3.
    Returns float64 (n, f, k - 1); the first column is 0 at the first knot and 1 at the last.
    Source of the basis: truncated cubes, less what would bend beyond the outer knots; the tests
    hold it against scipy's natural spline.
    """
    first, last = knots[:, 0], knots[:, -1]
    x = np.clip((values - first) / (last - first), -BEYOND, 1 + BEYOND)
    at = (knots - first[:, None]) / (last - first)[:, None]
    cubes = np.maximum(x[..., None] - at, 0.0) ** 3
    slopes = (cubes[..., :-1] - cubes[..., -1:]) / (1.0 - at[:, :-1])
    bent = slopes[..., :-1] - slopes[..., -1:]
    return np.concatenate([x[..., None], bent], axis=-1)
