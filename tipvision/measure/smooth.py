"""The mean round each pixel of a part, from that part alone."""

from functools import lru_cache

import cv2
import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
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
    """The matrix (n, n) that blurs a line of n pixels as `cv2.GaussianBlur` does, mirrored at its
    ends; two products with it cost less than a wide filter over a small picture."""
    if n == 1:
        return np.ones((1, 1), np.float32)
    size, period = round(8 * sigma + 1) | 1, 2 * (n - 1)
    images = (size // 2 + 2 * n) // period + 1
    middle = images * period + 2 * n
    kernel = np.zeros(2 * middle + 1, np.float32)
    around = slice(middle - size // 2, middle + size // 2 + 1)
    kernel[around] = cv2.getGaussianKernel(size, sigma, cv2.CV_32F)[:, 0]
    windows = sliding_window_view(kernel, n)
    matrix = np.zeros((n, n), np.float32)
    for image in range(-images, images + 1):
        start = middle - image * period
        matrix += windows[start - n + 1 : start + 1, ::-1]  # of each pixel
        matrix[:, 1:-1] += windows[start : start + n, 1:-1]  # of its mirror image
    matrix.flags.writeable = False
    return matrix
