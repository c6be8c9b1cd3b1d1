"""The light of a photo from a grey card in it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.light import Light
from tipvision.light.one_grey import (
    CARD_NEUTRAL_SD,
    CARD_REFLECTANCE_SD,
    correction_of,
    samples_of,
    steady_mean,
)
from tipvision.photo.box import Box
from tipvision.photo.photo import Photo

LONGEST_WINDOW = 480  # pixels: more says nothing new about one grey and costs time
INNER_SHARE = 0.8  # of the card's sides: keeps off its edge and its shadow; our estimate
LEAST_PIXELS = 100  # of the inner card, below which its mean says little; our estimate
MOST_CLIPPED = 0.02  # share of its pixels; our estimate
DARKEST = 0.004  # nominal light under which 8-bit steps are too coarse; our estimate
BLOCKS = 6  # the card is cut into so many blocks each way to judge how even it is
MOST_UNEVEN = 0.5  # range of ln(light) over the blocks: more is a shadow or shine; our estimate
# A plug that lies beside the card sees its light from there: this share of the range over the card
# is taken as one standard deviation. Our estimate.
UNEVEN_SHARE = 0.5


@dataclass(frozen=True)
class GreyView:
    """A grey card as it lies in a photo.

    quad: float64 (4, 2), displayed pixels: corners of the card, or of a square on it where a person
          pointed at it, in one sense round.
    """

    quad: NDArray[np.float64]


def light_of_grey(photo: Photo, view: GreyView, reflectance: float) -> Light | str:
    """The light that a grey card tells, or one line that says why it tells none.

    Its colour is scaled, channel by channel, to a neutral of that reflectance. The doubt comes from
    its make, its pixels, how unevenly it is lit, and the mixing of colours that one grey cannot
    show, which is the lamp's spectrum.

    reflectance: 0 to 1, the same at all wavelengths.
    Raises PhotoFault for a damaged photo.
    """
    seen, clipped = _inner_pixels(photo, view)
    if clipped > MOST_CLIPPED:
        return "it is burnt out"
    if len(seen) < LEAST_PIXELS:
        return "it is too small in the photo or cut off"
    mean, error = steady_mean(seen[:, :3])
    if mean.min() < DARKEST:
        return "it is too dark"
    uneven = _range_over_blocks(seen)
    if uneven > MOST_UNEVEN:
        return "shadow or shine lies on it"
    ln_gain = np.log(reflectance) - np.log(mean)
    return Light(
        source="grey_card",
        correction=correction_of(ln_gain),
        samples=samples_of(
            ln_gain,
            np.hypot(error / mean, CARD_NEUTRAL_SD),
            float(np.hypot(CARD_REFLECTANCE_SD, UNEVEN_SHARE * uneven)),
        ),
        level_known=True,
    )


def _inner_pixels(photo: Photo, view: GreyView) -> tuple[NDArray[np.float64], float]:
    """Linear light and place (n, 5) of the unclipped pixels inside the card, and the share of
    clipped ones. Places are in widths and heights of the window, 0 to 1."""
    middle = view.quad.mean(axis=0)
    inner = middle + INNER_SHARE * (view.quad - middle)
    left, top = np.floor(inner.min(axis=0)).astype(int)
    right, bottom = np.ceil(inner.max(axis=0)).astype(int)
    box = Box(int(left), int(top), int(right), int(bottom)).within(*photo.size)
    if box.width < 1 or box.height < 1:
        return np.empty((0, 5)), 0.0
    window = photo.window(box, LONGEST_WINDOW, part_px=min(box.width, box.height))
    height, width = window.clipped.shape
    corners = (inner - (box.x0, box.y0)) * (width / box.width, height / box.height)
    inside = np.zeros((height, width), np.uint8)
    shift = 4  # sixteenths of a pixel
    cv2.fillConvexPoly(
        inside, np.round((corners - 0.5) * 2**shift).astype(np.int32), 1, cv2.LINE_8, shift
    )
    y, x = np.nonzero(inside)
    if not len(x):
        return np.empty((0, 5)), 0.0
    burnt = window.clipped[y, x]
    places = np.column_stack([x / width, y / height])
    pixels = np.column_stack([window.linear[y, x].astype(np.float64), places])
    return pixels[~burnt], float(burnt.mean())


def _range_over_blocks(seen: NDArray[np.float64]) -> float:
    """Range of ln(green light) over the medians of blocks, but for the darkest quarter, as a plug
    may lie on the card, and the brightest tenth."""
    block = (seen[:, 3:] * BLOCKS).astype(int)
    number = block[:, 1] * BLOCKS + block[:, 0]
    medians = [
        np.median(seen[number == k, 1]) for k in np.unique(number) if (number == k).sum() >= 4
    ]
    if not medians:
        return 0.0
    low, high = np.quantile(np.log(np.maximum(medians, 1e-4)), (0.25, 0.9))
    return float(high - low)
