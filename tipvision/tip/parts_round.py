"""The parts round a nose that a person outlined, as the net sees them."""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box
from tipvision.tip.close_look import crop_of, labels_of
from tipvision.tip.closer import Closer
from tipvision.tip.net import TipNet
from tipvision.tip.tip import Part, Tip

ROUND_NOSE = 2.2  # side of the crop over the nose's extent (our estimate)
HERE_LEAST = 0.5  # how sure the net is of a firing end there, from which its parts are taken


def with_parts(
    net: TipNet,
    tip: Tip,
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    closer: Closer | None = None,
) -> Tip:
    """A tip whose nose a person outlined, with the parts that the net sees round it; the nose stays
    as it was drawn. The tip itself where the net sees no firing end there.

    overview, size, closer: as for `seek.seek_tips`.
    """
    side = max(8, round(ROUND_NOSE * tip.nose_px))
    x0 = round((tip.box.x0 + tip.box.x1 - side) / 2)
    y0 = round((tip.box.y0 + tip.box.y1 - side) / 2)
    square = Box(x0, y0, x0 + side, y0 + side)
    box = square.within(*size)
    seen = net.fine(crop_of(square, box, overview, size, closer))
    if seen.here < HERE_LEAST:
        return tip
    labels = labels_of(seen, square, box)
    labels[(labels == Part.NOSE) | (labels == Part.GLARE)] = Part.NOTHING
    drawn = _moved(tip.labels, tip.box, box, labels.shape)
    labels = np.where(drawn == Part.NOTHING, labels, drawn).astype(np.uint8)
    return replace(tip, box=box, labels=labels)


def _moved(
    labels: NDArray[np.uint8], old: Box, new: Box, shape: tuple[int, ...]
) -> NDArray[np.uint8]:
    """Labels over one box as labels over another, of that shape."""
    x = new.x0 + (np.arange(shape[1]) + 0.5) * new.width / shape[1] - old.x0
    y = new.y0 + (np.arange(shape[0]) + 0.5) * new.height / shape[0] - old.y0
    at_x, at_y = np.meshgrid(
        (x * labels.shape[1] / old.width - 0.5).astype(np.float32),
        (y * labels.shape[0] / old.height - 0.5).astype(np.float32),
    )
    edge, nothing = cv2.BORDER_CONSTANT, int(Part.NOTHING)
    moved = cv2.remap(labels, at_x, at_y, cv2.INTER_NEAREST, borderMode=edge, borderValue=nothing)
    return np.asarray(moved, np.uint8)
