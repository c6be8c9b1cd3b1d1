"""The mean round each pixel of a part, from that part alone."""

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

LEAST_SIGMA = 0.8  # pixels
LEAST_WEIGHT = 1e-3  # share of a pixel's surroundings that must be of the part
_NOTHING = np.empty(0, np.float32)


def smooth_inside(
    values: NDArray[np.float32], mask: NDArray[np.bool_], sigma: float
) -> NDArray[np.float32]:
    """Gaussian mean over the masked pixels only, so that the surroundings do not bleed in.

    values: float32 (h, w). mask: bool (h, w), not empty. sigma: pixels, at least `LEAST_SIGMA` is
    taken. Where nearly nothing of the mask is near it is the mean of all.
    """
    sigma = max(sigma, LEAST_SIGMA)
    weight = mask.astype(np.float32)
    down, across = (_blur(n, sigma) for n in mask.shape)
    blurred, total = _along(_along(np.stack([values * weight, weight]), across), down)
    middle = values[mask].mean()
    inside = total > LEAST_WEIGHT
    smooth = np.where(inside, blurred / np.maximum(total, LEAST_WEIGHT), middle)
    return np.asarray(smooth, np.float32)


def _along(pictures: NDArray[np.float32], blur: NDArray[np.float32]) -> NDArray[np.float32]:
    """Pictures (k, h, w) blurred along their rows, turned over their diagonal: (k, w, h).

    By OpenCV's product: numpy's own wakes threads for pictures of this size, which on a busy
    machine costs many times what they are worth.
    """
    count, height, width = pictures.shape
    rows = pictures.reshape(count * height, width)
    blurred = np.asarray(cv2.gemm(rows, blur, 1.0, _NOTHING, 0.0, flags=cv2.GEMM_2_T), np.float32)
    turned = blurred.reshape(count, height, width).transpose(0, 2, 1)
    return np.ascontiguousarray(turned)


@lru_cache(maxsize=8)  # one nose asks for a few sizes, some of them twice
def _blur(n: int, sigma: float) -> NDArray[np.float32]:
    """The matrix (n, n) that blurs a line of n pixels as `cv2.GaussianBlur` does; two products with
    it cost less than a wide filter over a small picture."""
    kernel = cv2.getGaussianKernel(round(8 * sigma + 1) | 1, sigma, cv2.CV_32F)
    points = np.eye(n, dtype=np.float32)
    matrix = np.asarray(cv2.sepFilter2D(points, -1, np.ones(1, np.float32), kernel), np.float32)
    matrix.flags.writeable = False
    return matrix
