"""Label maps of a tip: outlines, glare on the nose, and the picture of them."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.photo.box import Box
from tipvision.tip.tip import Part, Tip

LABELS_PX = 384  # longest side of a label map: finer says nothing more about where a part ends
GLARE_TIMES = 3.0  # glare is this much brighter than the nose's median, in linear light,
GLARE_LEAST = 0.10  # and at least this bright (our estimates)
GLARE_WHITE = 250  # or burnt out in every channel, on a nose of less than half the light
LUMINANCE = (0.2126, 0.7152, 0.0722)  # published: IEC 61966-2-1


def outlines_of(labels: NDArray[np.uint8], box: Box) -> tuple[NDArray[np.float64], ...]:
    """Rings of the visible nose in displayed pixels, even-odd."""
    nose = ((labels == Part.NOSE) | (labels == Part.GLARE)).astype(np.uint8)
    found, _ = cv2.findContours(nose, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_TC89_KCOS)
    scale = np.asarray([box.width / labels.shape[1], box.height / labels.shape[0]])
    corner = np.asarray([box.x0, box.y0])
    return tuple(
        (ring[:, 0, :].astype(np.float64) + 0.5) * scale + corner
        for ring in sorted(found, key=cv2.contourArea, reverse=True)
        if len(ring) >= 3
    )


def with_glare(
    labels: NDArray[np.uint8], box: Box, overview: NDArray[np.uint8], scale: float
) -> NDArray[np.uint8]:
    """The labels with nose pixels under glare marked as such."""
    encoded = seen_as_labels(labels.shape, box, overview, scale)
    light = linear_table()[encoded] @ np.asarray(LUMINANCE, np.float32)
    nose = labels == Part.NOSE
    if not nose.any():
        return labels
    middle = float(np.median(light[nose]))
    glare = light > max(GLARE_TIMES * middle, GLARE_LEAST)
    if middle < 0.5:
        glare |= (encoded >= GLARE_WHITE).all(axis=2)
    marked = labels.copy()
    marked[nose & glare] = Part.GLARE
    return marked


def seen_as_labels(
    shape: tuple[int, ...], box: Box, overview: NDArray[np.uint8], scale: float
) -> NDArray[np.uint8]:
    """The overview resampled to the label map of the box, uint8 (h, w, 3)."""
    h, w = shape
    x = ((np.arange(w) + 0.5) * box.width / w + box.x0) / scale - 0.5
    y = ((np.arange(h) + 0.5) * box.height / h + box.y0) / scale - 0.5
    at_x, at_y = np.meshgrid(x.astype(np.float32), y.astype(np.float32))
    edge = cv2.BORDER_REPLICATE
    return np.asarray(cv2.remap(overview, at_x, at_y, cv2.INTER_LINEAR, borderMode=edge), np.uint8)


def mask_image(tips: tuple[Tip, ...], size: tuple[int, int]) -> NDArray[np.uint8]:
    """Label picture uint8 (h, w) of `Part` values in the displayed `size` (width, height).

    Where boxes of several tips overlap, a part of either wins over nothing.
    """
    picture = np.zeros((size[1], size[0]), np.uint8)
    for tip in tips:
        box = tip.box
        part = cv2.resize(tip.labels, (box.width, box.height), interpolation=cv2.INTER_NEAREST)
        view = picture[box.y0 : box.y1, box.x0 : box.x1]
        np.copyto(view, part, where=part != Part.NOTHING)
    return picture


def label_shape(box: Box) -> tuple[int, int]:
    """Height and width of the label map of a box."""
    shrink = min(1.0, LABELS_PX / max(box.width, box.height))
    return max(1, round(box.height * shrink)), max(1, round(box.width * shrink))
