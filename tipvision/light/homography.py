"""Points of one plane as another shows them."""

import numpy as np
from numpy.typing import NDArray


def project(homography: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (n, 2) mapped by a homography (3, 3), or by each of (*S, 3, 3); float64 (*S, n, 2)."""
    mapped = points @ np.swapaxes(homography[..., :2], -1, -2) + homography[..., None, :, 2]
    result: NDArray[np.float64] = mapped[..., :2] / mapped[..., 2:]
    return result
