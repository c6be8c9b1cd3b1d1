"""Square views of a picture, as the tip net wants them."""

import cv2
import numpy as np
from numpy.typing import NDArray

GREY = 128  # what lies outside the picture
ROUND = 2.0  # pixels round the square that interpolation may reach for


def square_view(
    picture: NDArray[np.uint8], middle: tuple[float, float], side: float, out: int
) -> NDArray[np.uint8]:
    """The square of that middle and side, uint8 (out, out, 3); grey where the picture ends.

    picture: uint8 (h, w, 3). middle, side: in its pixels, counted from pixel corners. Where it is
    reduced, pixels are averaged.
    """
    h, w = picture.shape[:2]
    reach = ROUND * max(1.0, side / out)
    x, y = middle[0] - side / 2, middle[1] - side / 2
    low_x, low_y = (int(np.clip(np.floor(v - reach), 0, n)) for v, n in ((x, w), (y, h)))
    top_x, top_y = (int(np.clip(np.ceil(v + side + reach), 0, n)) for v, n in ((x, w), (y, h)))
    if top_x <= low_x or top_y <= low_y:
        return np.full((out, out, 3), GREY, np.uint8)
    part = picture[low_y:top_y, low_x:top_x]
    # whole blocks are averaged first, which is quick; what is left of the way is interpolated
    step = max(1, min(int(side / out), *part.shape[:2]))
    if step > 1:
        size = (part.shape[1] // step, part.shape[0] // step)
        part = part[: size[1] * step, : size[0] * step]
        part = np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA), np.uint8)
    # part's pixels → view's, both counted from pixel corners, then shifted to their middles
    zoom = out / side
    rest = zoom * step
    matrix = np.asarray(
        [
            [rest, 0, zoom * (low_x - x) + 0.5 * rest - 0.5],
            [0, rest, zoom * (low_y - y) + 0.5 * rest - 0.5],
        ]
    )
    view = cv2.warpAffine(part, matrix, (out, out), borderValue=(GREY,) * 3)
    return np.asarray(view, np.uint8)
