"""The window at the scale that measuring works at: finer says nothing more and costs time."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.photo import Photo, Window
from tipvision.tip.tip import Part, Tip

LONGEST_WINDOW = 640  # pixels: more says nothing new about a colour and costs time
WORKED_PX = 128  # of the nose's width, about (our estimate)


def window_on(photo: Photo, tip: Tip) -> Window:
    """The pixels of a tip's box at the scale that measuring works at, as far as whole steps go.

    Raises PhotoFault for a damaged photo.
    """
    _, _, width, height = cv2.boundingRect(nose_in(tip.labels).view(np.uint8))
    across = width * tip.box.width / tip.labels.shape[1]
    down = height * tip.box.height / tip.labels.shape[0]
    return photo.window(tip.box, LONGEST_WINDOW, tip.nose_px, max(across, down) / WORKED_PX)


def reduced(
    window: Window, labels: NDArray[np.uint8]
) -> tuple[Window, NDArray[np.uint8], NDArray[np.bool_], float]:
    """The window in linear light with its nose about `WORKED_PX` across, or as it is when smaller.

    labels: uint8 (H, W) of `Part`, stretched over the window; (H, W) need not be its size.
    Returns the window, labels of its size, bool (h, w) the nose with glare, and its width there.
    """
    size = window.clipped.shape
    rows, columns = (
        _nearest(n, to, window.coarser) for n, to in zip(labels.shape, size, strict=True)
    )
    own = nose_in(labels)
    high, wide = (np.asarray(own.any(axis=axis)) for axis in (1, 0))
    seen = (high[rows], wide[columns])  # as it is stretched
    extent = max(np.ptp(np.flatnonzero(line)) + 1 if line.any() else 1 for line in seen)
    step = max(1, round(float(extent) / WORKED_PX))
    if step > 1:
        h, w = (n // step for n in size)
        linear = window.linear[: h * step, : w * step]
        # a block with one clipped pixel has a mean above 0 as long as it has fewer than 255
        clipped = 255 * window.clipped[: h * step, : w * step].view(np.uint8)
        shares = cv2.resize(clipped, (w, h), interpolation=cv2.INTER_AREA)
        window = Window(
            np.asarray(cv2.resize(linear, (w, h), interpolation=cv2.INTER_AREA), np.float32),
            np.asarray(shares > 0),
        )
        rows, columns = (line[step // 2 : n * step : step] for line, n in ((rows, h), (columns, w)))
    whole = np.ascontiguousarray(labels[rows[:, None], columns])
    nose = nose_in(whole)
    return window, whole, nose, width_of(nose)


def nose_in(labels: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """bool (h, w), the nose, glare on it included."""
    return np.asarray((labels == Part.NOSE) | (labels == Part.GLARE))


def width_of(nose: NDArray[np.bool_]) -> float:
    """Larger extent of the nose in pixels, at least 1; it may be a ring or a crescent."""
    _, _, width, height = cv2.boundingRect(nose.view(np.uint8))
    return float(max(width, height, 1))


def close_up(nose: NDArray[np.bool_]) -> tuple[slice, slice]:
    """Rows and columns that hold the nose; all where there is none."""
    x, y, width, height = cv2.boundingRect(nose.view(np.uint8))
    if width == 0:
        return slice(None), slice(None)
    return slice(y, y + height), slice(x, x + width)


def _nearest(n: int, to: int, coarser: int) -> NDArray[np.intp]:
    """The pixel of a line of n that each pixel of the line stretched to another length shows.

    coarser: as of the window; of the pixels that became one the middle one counts.
    """
    return np.asarray((np.arange(to) + (coarser // 2) / coarser) * (n / to), np.intp)
