"""The search for firing ends, by classical means: rings about one middle, crossed by a strap.

It knows plugs seen end-on or at a slight slant with one strap. What it does not see well it does
not hand back: a wrong outline does more harm than none.
"""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.tip_net.classical.labelled import labelled
from pipelines.tip_net.classical.middles import middles
from pipelines.tip_net.classical.rings import Frame, Rings, bore_ellipse, read_rings, settle_nose
from tipvision.photo.box import Box
from tipvision.tip.hint import ASIDE_MM, RIM_MM, SEAT_ODDS, SEAT_TAKEN, Hint
from tipvision.tip.tip import TipSearch

SEARCH_PX = 320  # longest side of the picture that is searched
LEAST_RIM = (
    0.035  # radius of the smallest rim looked for, of the photo's longer side (our estimate)
)
MOST_RIM = 0.42
TRIED = 10  # middles whose rings are read
REFINED = 5
ROUNDS = 3  # of laying an ellipse through the bore and reading the rings in it
LEAST_RATIO = 0.55  # of the axes: seen at more of a slant, rings say little (our estimate)
SCORE_EVEN = 0.63  # score at which a plug is as likely as not (by eye, on drawn plugs)
STRAP_NEEDED = 0.5  # a strap seen less makes a plug unlikely (our estimate)
FOUND = 0.5  # a tip is handed back from this `sure` on


def find_tips(
    overview: NDArray[np.uint8], size: tuple[int, int], hint: Hint | None = None
) -> TipSearch:
    """Firing ends in a photo, most certain first.

    overview: uint8 (h, w, 3), RGB, sRGB-encoded, the displayed photo reduced. size: width and
    height of the displayed photo, pixels; everything handed back is in its pixels. With a hint
    the search keeps to the seat of the bench card. Source of the method: our own arrangement of
    gradient-line voting and log-polar ring profiles.
    """
    scale = size[0] / overview.shape[1]
    whole = Box(0, 0, overview.shape[1], overview.shape[0])
    field, least, most = whole, LEAST_RIM * max(size) / scale, MOST_RIM * max(size) / scale
    if hint is not None:
        field, least, most = _field_of(hint, scale, whole)
    if min(field.width, field.height) < 16:
        return TipSearch((), 0.0)
    crop = np.ascontiguousarray(overview[field.y0 : field.y1, field.x0 : field.x1])
    grey, shrink = _grey(crop)
    found = _rings_in(grey, least * shrink, most * shrink)
    shift = ((1 / shrink - 1) / 2 + field.x0, (1 / shrink - 1) / 2 + field.y0)
    if hint is not None:
        found = [(rings, _at_the_seat(sure)) for rings, sure in found[:1]]  # it holds one plug
    tips = tuple(
        labelled(_moved(rings, shift, 1 / shrink), sure, overview, size)
        for rings, sure in found
        if sure >= FOUND
    )
    likely = max((sure for _, sure in found), default=0.0)
    return TipSearch(tips, likely if hint is None else max(likely, SEAT_TAKEN))


def _rings_in(grey: NDArray[np.float32], least: float, most: float) -> list[tuple[Rings, float]]:
    """Rings and how sure of them, most certain first, none lying over another."""
    read = []
    for frame, _ in middles(grey)[:TRIED]:
        rings = read_rings(grey, frame, least, most, strict=False)
        if rings is not None:
            read.append(rings)
    read.sort(key=lambda r: -r.score)
    kept: list[tuple[Rings, float]] = []
    for first in read[:REFINED]:
        rings = _refined(grey, first, least, most)
        if rings is not None and all(_apart(rings.frame, other.frame) for other, _ in kept):
            kept.append((rings, sureness(rings)))
    return sorted(kept, key=lambda k: -k[1])


def _refined(grey: NDArray[np.float32], rings: Rings, least: float, most: float) -> Rings | None:
    best: Rings | None = None
    for _ in range(ROUNDS):
        frame = bore_ellipse(grey, rings)
        if frame is None or not LEAST_RATIO < frame.ratio <= 1:
            break
        near = (max(least, 0.82 * frame.long), min(most, 1.2 * frame.long))
        again = read_rings(grey, frame, *near) if near[0] < near[1] else None
        if again is None:
            break
        rings = again
        if best is None or again.score > best.score:
            best = again
    return None if best is None else settle_nose(grey, best)


def sureness(rings: Rings) -> float:
    """0 to 1, how sure the finder is of these rings (calibrated by eye on drawn plugs)."""
    bridged = min(rings.parts["strap"] / STRAP_NEEDED, 1.0)  # washers and bearings have no strap
    return float(bridged / (1 + np.exp(-(rings.score - SCORE_EVEN) * 18)))


def _at_the_seat(sure: float) -> float:
    """How sure of rings when it is known that they lie where the card has its seat."""
    return SEAT_ODDS * sure / (SEAT_ODDS * sure + 1 - sure)


def _apart(a: Frame, b: Frame) -> bool:
    return bool(np.hypot(a.x - b.x, a.y - b.y) > 0.8 * max(a.long, b.long))


def _moved(rings: Rings, shift: tuple[float, float], scale: float) -> Rings:
    f = rings.frame
    frame = Frame(f.x * scale + shift[0], f.y * scale + shift[1], f.long * scale, f.ratio, f.angle)
    return replace(rings, frame=frame)


def _grey(crop: NDArray[np.uint8]) -> tuple[NDArray[np.float32], float]:
    """Lightness 0 to 1 (the encoded grey is near enough to L*), and the scale of it to the crop."""
    shrink = min(1.0, SEARCH_PX / max(crop.shape[:2]))
    size = (round(crop.shape[1] * shrink), round(crop.shape[0] * shrink))
    small = cv2.resize(crop, size, interpolation=cv2.INTER_AREA)
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY)
    return np.asarray(grey, np.float32) / np.float32(255), shrink


def _field_of(hint: Hint, scale: float, whole: Box) -> tuple[Box, float, float]:
    """The part of the overview to search, and the rim's radius there: least and most."""
    mm = hint.px_per_mm / scale
    x, y = hint.centre[0] / scale, hint.centre[1] / scale
    reach = (ASIDE_MM + 1.1 * RIM_MM[1]) * mm
    box = Box(int(x - reach), int(y - reach), int(x + reach) + 1, int(y + reach) + 1)
    return box.within(whole.width, whole.height), RIM_MM[0] * mm, RIM_MM[1] * mm
