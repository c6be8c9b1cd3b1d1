"""Label maps of a tip: from rings to the pixels that are nose, electrode, strap and shell."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.photo.box import Box
from tipvision.tip.rings import STRAP_HALF, Rings
from tipvision.tip.tip import Part, Tip

LABELS_PX = 384  # longest side of a label map: finer says nothing more about where a part ends
ELECTRODE = 0.20  # radius, of the rim's (2.5 mm in 12.5 mm; from memory, unchecked)
STRAP_PAST = 0.22  # how far a strap reaches past the middle, of the rim's radius (our estimate)
MARGIN = 1.08  # of the rim's radius, so that the box shows what stands around it
END_ON = 0.94  # ratio of the axes from which a plug counts as seen end-on (our estimate)
GLARE_TIMES = 3.0  # glare is this much brighter than the nose's median, in linear light,
GLARE_LEAST = 0.10  # and at least this bright (our estimates)
GLARE_WHITE = 250  # or burnt out in every channel, on a nose of less than half the light
BORE_INSIDE = 0.92  # of the bore's radius: nearer to the shell its bright edge would be in it
LEAST_SPLIT = 60  # label pixels: in fewer light and dark are not parted
LEAST_STEP = 1.0  # between darkest and brightest in the bore, powers of two (our estimate)
LEAST_SHARED = 0.4  # of nose by rings and nose by light, or the rings stand (our estimate)
NOSE_PAST = (
    0.16  # how far the nose may reach past the ring's, of the root of its area (our estimate)
)
TONE_FLOOR = 0.002  # linear light, so that noise in the black is no step (our estimate)
LUMINANCE = (0.2126, 0.7152, 0.0722)  # published: IEC 61966-2-1


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
    labels = _nose_by_light(labels, bore, _seen(labels.shape, box, overview, scale))
    nose = labels == Part.NOSE
    ring = _drawn(box, shapes[2:4]) == Part.NOSE
    visible = float(nose.sum() / max(ring.sum(), 1))
    labels = with_glare(labels, box, overview, scale)
    view = "end_on" if rings.frame.ratio >= END_ON else "oblique"
    across = 2 * rings.nose * rings.frame.long * scale
    return Tip(box, labels, outlines_of(labels, box), across, view, sure, min(visible, 1.0))


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


def with_glare(
    labels: NDArray[np.uint8], box: Box, overview: NDArray[np.uint8], scale: float
) -> NDArray[np.uint8]:
    """The labels with nose pixels under glare marked as such."""
    encoded = _seen(labels.shape, box, overview, scale)
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


def _seen(
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
