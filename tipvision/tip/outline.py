"""A person's outline of the nose, which takes the place of the finder's."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.tip.labels import label_shape, outlines_of, with_glare
from tipvision.tip.tip import Part, Tip

FORMS = "Give circle:X,Y,R or polygon:X,Y X,Y X,Y with at least three corners, in pixels."
AROUND = 0.35  # of the outline's extent, shown around it: the gates look for sharp edges there
MOST_PIXELS = 1e6  # no photo is larger, and no sum over larger numbers stays exact
LEAST_AREA = 9.0  # displayed pixels: less is a slip of the hand (our estimate)


class OutlineError(ValueError):
    """An outline that does not fit its photo; the message says why and what to do."""


@dataclass(frozen=True)
class Outline:
    """One closed line around the nose: points float64 (n, 2), x and y in displayed pixels."""

    points: NDArray[np.float64]


def parse_outline(text: str) -> Outline:
    """The outline written as `circle:X,Y,R` or `polygon:X,Y X,Y X,Y …`, in displayed pixels.

    Raises ValueError with what is wrong and the right form.
    """
    kind, _, rest = text.strip().partition(":")
    if kind == "circle":
        numbers = _numbers(rest, text)
        if len(numbers) != 3:
            raise ValueError(f"A circle has three numbers, not {len(numbers)}: {text!r}. {FORMS}")
        x, y, radius = numbers
        if radius <= 0:
            raise ValueError(f"The radius of a circle is above zero: {text!r}. {FORMS}")
        turn = np.linspace(0, 2 * np.pi, 96, endpoint=False)
        circle = np.stack([x + radius * np.cos(turn), y + radius * np.sin(turn)], axis=1)
        return Outline(circle)
    if kind == "polygon":
        corners = [_numbers(corner, text) for corner in rest.split()]
        if any(len(corner) != 2 for corner in corners):
            raise ValueError(f"Every corner of a polygon is X,Y: {text!r}. {FORMS}")
        if len(corners) < 3:
            raise ValueError(f"A polygon has three corners at least: {text!r}. {FORMS}")
        return Outline(np.asarray(corners, np.float64))
    raise ValueError(f"An outline is a circle or a polygon, not {text!r}. {FORMS}")


def outlined(outline: Outline, overview: NDArray[np.uint8], size: tuple[int, int]) -> Tip:
    """The tip that a person outlined: all within the outline is nose, glare on it is marked.

    overview: uint8 (h, w, 3), RGB, sRGB-encoded. size: width and height of the displayed photo.
    `nose_px` is the outline's longer extent; the view is not known.
    Raises OutlineError where the outline has no area or leaves the photo.
    """
    points = outline.points
    if (points < 0).any() or (points > size).any():
        raise OutlineError(
            f"The outline leaves the photo, which is {size[0]} by {size[1]} pixels as displayed. "
            "Give corners within it."
        )
    if cv2.contourArea(points.astype(np.float32)) < LEAST_AREA:
        raise OutlineError("The outline has no area. Go around the nose in order.")
    _, extent, _ = cv2.minAreaRect(points.astype(np.float32))
    across = max(extent)
    low, high = points.min(axis=0), points.max(axis=0)
    margin = AROUND * across
    box = Box(
        math.floor(low[0] - margin),
        math.floor(low[1] - margin),
        math.ceil(high[0] + margin),
        math.ceil(high[1] + margin),
    ).within(*size)
    h, w = label_shape(box)
    labels = np.zeros((h, w), np.uint8)
    at = (points - (box.x0, box.y0)) * (w / box.width, h / box.height) - 0.5
    cv2.fillPoly(labels, [np.rint(at * 16).astype(np.int32)], (int(Part.NOSE),), shift=4)
    labels = with_glare(labels, box, overview, size[0] / overview.shape[1])
    return Tip(box, labels, outlines_of(labels, box), across, None, sure=1.0, by_hand=True)


def _numbers(text: str, whole: str) -> list[float]:
    try:
        numbers = [float(number) for number in text.split(",")]
    except ValueError:
        raise ValueError(f"There is something other than numbers in {whole!r}. {FORMS}") from None
    if not all(abs(number) < MOST_PIXELS for number in numbers):
        raise ValueError(f"There is something other than a plain number in {whole!r}. {FORMS}")
    return numbers
