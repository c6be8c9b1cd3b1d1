"""From rings to the pixels that are nose, electrode, strap and shell."""

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.tip_net.classical.rings import STRAP_HALF, Rings
from tipvision.colour.srgb import linear_table
from tipvision.photo.box import Box
from tipvision.tip.labels import (
    LUMINANCE,
    label_shape,
    outlines_of,
    seen_as_labels,
    with_glare,
)
from tipvision.tip.tip import Part, Tip

ELECTRODE = 0.20  # radius, of the rim's (2.5 mm in 12.5 mm; from memory, unchecked)
STRAP_PAST = 0.22  # how far a strap reaches past the middle, of the rim's radius (our estimate)
MARGIN = 1.08  # of the rim's radius, so that the box shows what stands around it
END_ON = 0.94  # ratio of the axes from which a plug counts as seen end-on (our estimate)
BORE_INSIDE = 0.92  # of the bore's radius: nearer to the shell its bright edge would be in it
LEAST_SPLIT = 60  # label pixels: in fewer light and dark are not parted
LEAST_STEP = 1.0  # between darkest and brightest in the bore, powers of two (our estimate)
LEAST_SHARED = 0.4  # of nose by rings and nose by light, or the rings stand (our estimate)
TONE_FLOOR = 0.002  # linear light, so that noise in the black is no step (our estimate)
NOSE_PAST = (
    0.16  # how far the nose may reach past the ring's, of the root of its area (our estimate)
)


def labelled(rings: Rings, sure: float, overview: NDArray[np.uint8], size: tuple[int, int]) -> Tip:
    """The tip of these rings. Their frame is in pixels of `overview`, `size` is as displayed."""
    scale = size[0] / overview.shape[1]
    turn = np.linspace(0, 2 * np.pi, 96, endpoint=False)

    def circle(radius: float, x: float = 0.0, y: float = 0.0) -> NDArray[np.float64]:
        return _in_photo(rings, radius * np.cos(turn) + x, radius * np.sin(turn) + y, scale)

    x, y = rings.nose_x, rings.nose_y
    shapes = [
        (circle(1.0), Part.SHELL),
        (circle(rings.bore), Part.NOTHING),
        (circle(rings.nose, x, y), Part.NOSE),
        (circle(min(ELECTRODE, 0.55 * rings.nose), x, y), Part.ELECTRODE),
        (_strap_bar(rings, scale), Part.STRAP),
    ]
    edge = circle(MARGIN)
    low, high = np.floor(edge.min(axis=0)).astype(int), np.ceil(edge.max(axis=0)).astype(int)
    box = Box(int(low[0]), int(low[1]), int(high[0]) + 1, int(high[1]) + 1).within(*size)
    labels = _drawn(box, shapes)
    bore = _drawn(box, [(circle(BORE_INSIDE * rings.bore), Part.NOSE)]) == Part.NOSE
    labels = _nose_by_light(labels, bore, seen_as_labels(labels.shape, box, overview, scale))
    nose = labels == Part.NOSE
    ring = _drawn(box, shapes[2:4]) == Part.NOSE
    visible = float(nose.sum() / max(ring.sum(), 1))
    labels = with_glare(labels, box, overview, scale)
    view = "end_on" if rings.frame.ratio >= END_ON else "oblique"
    across = 2 * rings.nose * rings.frame.long * scale
    return Tip(box, labels, outlines_of(labels, box), across, view, sure, min(visible, 1.0))


def _nose_by_light(
    labels: NDArray[np.uint8], bore: NDArray[np.bool_], encoded: NDArray[np.uint8]
) -> NDArray[np.uint8]:
    """The labels with the nose's outer edge moved to where the dark clearance begins.

    Rings place the nose; its edge is where light falls off into the clearance, which lies in shadow
    however sooty the nose is. The two are parted by Otsu's threshold on log light inside the bore
    (published: Otsu 1979, by OpenCV). Kept only where the result still looks like the ring's nose.
    """
    free = bore & (labels != Part.STRAP)
    ring = (labels == Part.NOSE) | (labels == Part.ELECTRODE)
    if free.sum() < LEAST_SPLIT or not ring.any():
        return labels
    tone = np.log2(linear_table()[encoded] @ np.asarray(LUMINANCE, np.float32) + TONE_FLOOR)
    calm = cv2.GaussianBlur(tone, (0, 0), max(0.8, 0.02 * labels.shape[1]))
    low, high = np.percentile(calm[free], (1, 99))
    if high - low < LEAST_STEP:
        return labels
    levels = np.clip(255 * (calm - low) / (high - low), 0, 255).astype(np.uint8)
    threshold, _ = cv2.threshold(levels[free][None], 0, 255, cv2.THRESH_OTSU)
    near = cv2.dilate(ring.astype(np.uint8), _disc(NOSE_PAST * np.sqrt(ring.sum()))) > 0
    lit = free & near & (levels > threshold)
    count, blobs = cv2.connectedComponents(
        (lit | (ring & (labels == Part.ELECTRODE))).astype(np.uint8)
    )
    if count < 2:
        return labels
    largest = int(np.bincount(blobs[ring & (blobs > 0)], minlength=2).argmax())
    blob = blobs == largest
    if (blob & ring).sum() < LEAST_SHARED * (blob | (ring & free)).sum():
        return labels
    settled = np.where(labels == Part.NOSE, Part.NOTHING, labels).astype(np.uint8)
    settled[blob & (settled == Part.NOTHING)] = Part.NOSE
    return settled


def _disc(radius: float) -> NDArray[np.uint8]:
    side = 2 * max(1, round(radius)) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side)), np.uint8)


def _drawn(box: Box, shapes: list[tuple[NDArray[np.float64], Part]]) -> NDArray[np.uint8]:
    """Polygons (displayed pixels) painted one over the other into the label map of the box."""
    h, w = label_shape(box)
    labels = np.zeros((h, w), np.uint8)
    for points, part in shapes:
        at = (points - (box.x0, box.y0)) * (w / box.width, h / box.height) - 0.5
        cv2.fillPoly(labels, [np.rint(at * 16).astype(np.int32)], (int(part),), shift=4)
    return labels


def _in_photo(
    rings: Rings, x: NDArray[np.float64], y: NDArray[np.float64], scale: float
) -> NDArray[np.float64]:
    px, py = rings.frame.points(np.hypot(x, y), np.arctan2(y, x))
    return np.stack([(px + 0.5) * scale, (py + 0.5) * scale], axis=1)


def _strap_bar(rings: Rings, scale: float) -> NDArray[np.float64]:
    """The strap as a bar from the rim over the middle."""
    half = STRAP_HALF
    c, s = np.cos(rings.strap), np.sin(rings.strap)
    along = np.asarray([-STRAP_PAST, 0.95, 0.95, -STRAP_PAST])
    across = np.asarray([-half, -half, half, half])
    x = along * c - across * s + rings.nose_x
    y = along * s + across * c + rings.nose_y
    return _in_photo(rings, x, y, scale)
