"""The window at the scale that measuring works at: finer says nothing more and costs time."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.photo import Window
from tipvision.tip.tip import Part

WORKED_PX = 128  # of the nose's width, about (our estimate)


def reduced(
    window: Window, labels: NDArray[np.uint8]
) -> tuple[Window, NDArray[np.uint8], NDArray[np.bool_], float]:
    """The window in linear light with its nose about `WORKED_PX` across, or as it is when smaller.

    labels: uint8 (H, W) of `Part`, stretched over the window; (H, W) need not be its size.
    Returns the window, labels of its size, bool (h, w) the nose with glare, and its width there.
    """
    whole = _like(labels, window.clipped.shape)
    step = max(1, round(width_of(nose_in(whole)) / WORKED_PX))
    if step > 1:
        h, w = (n // step for n in window.clipped.shape)
        linear = window.linear[: h * step, : w * step]
        clipped = window.clipped[: h * step, : w * step].reshape(h, step, w, step)
        window = Window(
            np.asarray(cv2.resize(linear, (w, h), interpolation=cv2.INTER_AREA), np.float32),
            np.asarray(clipped.any(axis=(1, 3))),
        )
        middle = step // 2
        whole = np.ascontiguousarray(whole[middle : h * step : step, middle : w * step : step])
    nose = nose_in(whole)
    return window, whole, nose, width_of(nose)


def nose_in(labels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """bool (h, w), the nose, glare on it included."""
    return np.asarray((labels == Part.NOSE) | (labels == Part.GLARE))


def width_of(nose: NDArray[np.bool_]) -> float:
    """Larger extent of the nose in pixels, at least 1; it may be a ring or a crescent."""
    y, x = np.flatnonzero(nose.any(axis=1)), np.flatnonzero(nose.any(axis=0))
    return float(max(np.ptp(y), np.ptp(x)) + 1) if y.size else 1.0


def close_up(nose: NDArray[np.bool_]) -> tuple[slice, slice]:
    """Rows and columns that hold the nose; all where there is none."""
    y, x = np.flatnonzero(nose.any(axis=1)), np.flatnonzero(nose.any(axis=0))
    if y.size == 0:
        return slice(None), slice(None)
    return slice(int(y[0]), int(y[-1]) + 1), slice(int(x[0]), int(x[-1]) + 1)


def _like(labels: NDArray[np.uint8], shape: tuple[int, ...]) -> NDArray[np.uint8]:
    size = (shape[1], shape[0])
    return np.asarray(cv2.resize(labels, size, interpolation=cv2.INTER_NEAREST), np.uint8)
