"""Find the printed bench card in a photo, and its geometry."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.bench_card.layout import load_layout
from tipvision.light.homography import project
from tipvision.light.smaller import blocks

LEAST_MARKERS = 3  # of the four: one may be under a hand or out of the frame; our estimate
# How far a marker's corner may lie from where the fitted card puts it: a share of the marker's
# side for bent paper and lens distortion, and a floor for the finder's own error; our estimate.
CORNER_ERROR_SHARE = 0.06
CORNER_ERROR_PX = 1.0
# A glance, before the markers are searched for in earnest: squares that are darker within their
# edge than beyond it, seen at half the size. Our estimate: of the cards that the search finds only
# those with markers of some 14 pixels may be passed over, whose noses are too small to be read.
HALVED_FROM = 640  # pixels of the longer side: smaller photos are glanced at as they are
GLANCE_WINDOW, GLANCE_PERIMETER = 9, 0.02  # of the threshold, pixels; over the photo's longer side
LIGHTER, SIDES = 1.15, 3  # the paper over the ink beside it, on so many of a square's sides
BORDER, MARGIN = 7 / 8, 9 / 8  # from the middle to the side: within the border, on the paper


@dataclass(frozen=True)
class CardView:
    """The bench card as it lies in a photo.

    Pixels are counted from the outer corner of the top left pixel, as in `photo.box.Box`: the
    centre of that pixel is (0.5, 0.5).

    homography: float64 (3, 3), from (x, y, 1) in mm on the card to displayed pixels.
    corners:    float64 (4, 2), displayed pixels, of the card's top left, top right, bottom right
                and bottom left corner; they may lie outside the photo.
    seat:       float64 (2,), displayed pixels, centre of the seat hole in the card's plane.
    px_per_mm:  displayed pixels to the millimetre at the seat, in the card's plane (the square
                root of the change of area; a firing end stands nearer to the phone than the card).
    size:       (width, height) of the displayed photo.
    """

    homography: NDArray[np.float64]
    corners: NDArray[np.float64]
    seat: NDArray[np.float64]
    px_per_mm: float
    size: tuple[int, int]

    def to_px(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Card millimetres, float64 (n, 2), to displayed pixels, float64 (n, 2)."""
        return project(self.homography, points)


def find_bench_card(overview: NDArray[np.uint8], size: tuple[int, int]) -> CardView | None:
    """The bench card in a photo, or None where it is not found beyond doubt.

    Three of the four markers must be read, each once, and lie where one flat card puts them, seen
    from its front; two cards in one photo, or a mirrored one, are refused.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    size:     (width, height) of the displayed photo, pixels.
    """
    layout = load_layout()
    on_card = {marker.id: np.array(marker.area.corners) for marker in layout.markers}
    seen = _read_markers(overview)
    for ids in _choices(sorted(seen)):
        card = np.concatenate([on_card[i] for i in ids])
        photo = np.concatenate([seen[i] for i in ids])
        fitted = _fit(card, photo)
        if fitted is not None:
            return _view(fitted, overview.shape, size)
    return None


def _read_markers(overview: NDArray[np.uint8]) -> dict[int, NDArray[np.float64]]:
    """Corners (4, 2) in overview pixels of each marker that was read exactly once."""
    grey = np.asarray(cv2.cvtColor(overview, cv2.COLOR_RGB2GRAY))
    if not _glanced_at(grey):
        return {}
    seen = _read_once(grey)
    if 0 < len(seen) < len(load_layout().markers):
        # Small or blurred markers are read more surely when enlarged; only photos that show a
        # marker pay for it.
        enlarged = cv2.resize(grey, None, fx=2.0, fy=2.0, interpolation=cv2.INTER_CUBIC)
        found = _read_once(np.asarray(enlarged))
        seen = {name: quad / 2 for name, quad in found.items()} | seen
    return seen


def _glanced_at(grey: NDArray[Any]) -> bool:
    """Whether so many squares that may be markers show that the card may be there."""
    small = blocks(grey, 2) if max(grey.shape) >= HALVED_FROM else grey
    settings = cv2.aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin = settings.adaptiveThreshWinSizeMax = GLANCE_WINDOW
    settings.minMarkerPerimeterRate = GLANCE_PERIMETER
    read, _, unread = cv2.aruco.ArucoDetector(_markers(), settings).detectMarkers(small)
    if len(read) + len(unread) < LEAST_MARKERS:
        return False
    quads = np.array([*read, *unread], np.float64).reshape(-1, 4, 2)
    middles = quads.mean(axis=1, keepdims=True)
    sides = (quads + np.roll(quads, -1, axis=1)) / 2
    ink, paper = (_at(small, middles + share * (sides - middles)) for share in (BORDER, MARGIN))
    dark = (paper > LIGHTER * ink).sum(axis=1) >= SIDES
    return int(dark.sum()) >= LEAST_MARKERS


def _at(grey: NDArray[Any], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The codes of the pixels nearest to points (..., 2), whose first pixel's centre is (0, 0)."""
    height, width = grey.shape
    x, y = np.moveaxis(np.clip(np.rint(points), 0, (width - 1, height - 1)).astype(int), -1, 0)
    return np.asarray(grey[y, x], np.float64)


def _read_once(grey: NDArray[Any]) -> dict[int, NDArray[np.float64]]:
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    corners, found, _ = cv2.aruco.ArucoDetector(_markers(), settings).detectMarkers(grey)
    if found is None:
        return {}
    names = [load_layout().markers[int(place)].id for place in np.ravel(found)]
    return {
        name: np.asarray(quad, np.float64).reshape(4, 2) + 0.5  # pixel centres to pixel corners
        for name, quad in zip(names, corners, strict=True)
        if names.count(name) == 1
    }


@cache
def _markers() -> cv2.aruco.Dictionary:
    """The card's own markers in the order of the layout: each square that is seen is held against
    them alone, not against the hundreds of the dictionary."""
    layout = load_layout()
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, layout.dictionary))
    own = np.ascontiguousarray(known.bytesList[[marker.id for marker in layout.markers]])
    return cv2.aruco.Dictionary(own, known.markerSize, known.maxCorrectionBits)


def _choices(ids: list[int]) -> Iterator[tuple[int, ...]]:
    """All markers first, then, should one have been misread, all but one."""
    for count in range(len(ids), LEAST_MARKERS - 1, -1):
        yield from combinations(ids, count)


def _fit(card: NDArray[np.float64], photo: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Homography from card mm to overview pixels, or None where no flat card fits these corners."""
    homography, _ = cv2.findHomography(card, photo, 0)
    if homography is None:
        return None
    fit = np.asarray(homography, np.float64)
    quads = photo.reshape(-1, 4, 2)
    sides = np.linalg.norm(quads - np.roll(quads, 1, axis=1), axis=2).mean(axis=1)
    allowed = np.maximum(CORNER_ERROR_SHARE * sides, CORNER_ERROR_PX)
    off = np.linalg.norm(project(fit, card) - photo, axis=1).reshape(-1, 4)
    if not np.all(off <= allowed[:, None]):
        return None
    layout = load_layout()
    outline = np.array(layout.card.corners)
    depth = outline @ fit[2, :2] + fit[2, 2]
    # A card cannot reach behind the camera. (Nor can it be mirrored: the finder goes round every
    # marker in one sense, so a mirror image has already failed to fit.)
    return fit if np.all(depth > 0) or np.all(depth < 0) else None


def _view(fitted: NDArray[np.float64], shape: tuple[int, ...], size: tuple[int, int]) -> CardView:
    scale = np.diag([size[0] / shape[1], size[1] / shape[0], 1.0])
    homography = scale @ fitted
    homography /= homography[2, 2]
    layout = load_layout()
    seat = np.array([layout.seat.centre])
    step = 0.5  # mm, small against the card, large against rounding
    around = seat + step * np.array([[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0]])
    left, right, up, down = project(homography, around)
    across, along = (right - left) / (2 * step), (down - up) / (2 * step)
    area = across[0] * along[1] - across[1] * along[0]
    return CardView(
        homography=homography,
        corners=project(homography, np.array(layout.card.corners)),
        seat=project(homography, seat)[0],
        px_per_mm=float(np.sqrt(area)),
        size=size,
    )
