"""Find a grey card in a photo: an even, neutral sheet with straight edges, and nothing like it."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.light.estimate import cast_of
from tipvision.light.grey_card import GreyView
from tipvision.light.smaller import smaller
from tipvision.quantiles import MAD_TO_SD

# All our estimate; they are set so that a wrong sheet is rarely taken, and cards are missed rather.
WORKED_SIDE = 448  # pixels of the longer side at which sheets are looked for: grain averages out
BLUR = 1.5  # pixels, standard deviation
EDGES = (5, 9, 16)  # steps of 8-bit code within 3 pixels that part one sheet from another
LEAST_AREA, MOST_AREA = 0.025, 0.6  # share of the photo
LEAST_TILE = 0.002  # share of the photo from which on an even quadrilateral counts as a tile
MOST_TILES = 1  # even quadrilaterals of any colour beside the card: more are a printed sheet
LEAST_SIDE = 6  # pixels
MOST_ASPECT = 2.4  # longer side over shorter, tilted
MOST_UNLIKE = 1.7  # a side over the one across from it, in perspective
STRAIGHT = 0.96  # share of the sheet's outline that lies within `OUTLINE_PX` of four straight lines
OUTLINE_PX = 2.0
FILLED = 0.93  # share of the quadrilateral that is one even sheet
LEAST_STEP = 0.10  # in ln(light) of some channel to what lies around it, on each side
INSIDE_PX, OUTSIDE_PX = 2.0, 7.0  # from the sheet's outline: where that step is taken
MOST_CAST = 0.25  # |ln(red/green)|, |ln(blue/green)| as seen, or against the photo's own cast
LEVEL = (0.02, 0.55)  # nominal light: above is paper, below is black
MOST_GRAIN = 0.04  # robust sd of ln(light) on the sheet against a plane of light
BRIGHTER = 1.6  # something in the photo outshines a mid grey by this
LEAST_BRIGHTER = 0.002  # share of the photo that does

LEAST_HALF = 6.0  # pixels of the overview: half the side of the square that must fit
NEARBY = 0.2  # of the photo's longer side: how far from the point the card's middle may lie
POINTED_STEP = 0.18  # |ln| within which pixels belong to the sheet a person points at


def find_grey_card(overview: NDArray[np.uint8], size: tuple[int, int]) -> GreyView | None:
    """The grey card that the photo shows whole, or None where it is not found beyond doubt.

    Every even region with four straight edges is a candidate; one that is neutral, of a middling
    lightness, free of texture and set off from its surroundings on all sides is a card. None where
    two are found or many such regions of any colour: the tiles of a printed sheet come in numbers,
    grey cards do not.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    size:     (width, height) of the displayed photo, pixels.
    """
    small = np.asarray(cv2.GaussianBlur(smaller(overview, WORKED_SIDE), (0, 0), BLUR), np.uint8)
    height, width = small.shape[:2]
    slope = cv2.morphologyEx(small, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    steepest = np.asarray(cv2.max(cv2.max(*cv2.split(slope)[:2]), slope[..., 2]), np.uint8)
    even = [_even_parts(steepest, step) for step in EDGES]
    if not any(_sheets(parts, LEAST_AREA) for parts in even):
        return None  # most photos: without a card the tiles need not be counted
    tiles: list[NDArray[np.float64]] = []
    large: list[tuple[NDArray[np.float64], NDArray[np.bool_]]] = []
    for parts in even:
        for quad, mask in _sheets(parts, LEAST_TILE):
            if any(np.abs(quad.mean(axis=0) - tile.mean(axis=0)).max() < 8 for tile in tiles):
                continue
            tiles.append(quad)
            if mask.mean() >= LEAST_AREA:
                large.append((quad, mask))
    if not large or len(tiles) > 1 + MOST_TILES:
        return None
    light, cast = linear_table()[small], cast_of(overview)
    cards = [quad for quad, mask in large if _is_grey_card(light, quad, mask, cast)]
    return GreyView(cards[0] * (size[0] / width, size[1] / height)) if len(cards) == 1 else None


def grey_around(
    overview: NDArray[np.uint8], size: tuple[int, int], point: tuple[float, float]
) -> GreyView | None:
    """A square on the sheet that a person points at, as large as fits; None where nothing even is
    there.

    point: x, y in displayed pixels, inside the photo.
    """
    height, width = overview.shape[:2]
    scale = np.array([width / size[0], height / size[1]])
    x, y = (int(v) for v in np.minimum(np.array(point) * scale, (width - 1, height - 1)))
    smooth = cv2.medianBlur(overview, 5)
    light = np.log(np.maximum(linear_table()[smooth], 1e-3))
    near = (np.abs(light - light[y, x]).max(axis=2) < POINTED_STEP).astype(np.uint8)
    _, parts = cv2.connectedComponents(near, connectivity=4)
    sheet = np.pad((parts == parts[y, x]).astype(np.uint8), 1)
    depth = cv2.distanceTransform(sheet, cv2.DIST_L2, 5)[1:-1, 1:-1]
    rows, columns = np.indices(depth.shape)
    far = np.hypot(rows - y, columns - x) > NEARBY * max(width, height)
    depth = np.where(far, 0, depth)
    row, column = np.unravel_index(int(depth.argmax()), depth.shape)
    half = float(depth[row, column]) / np.sqrt(2)
    if half < LEAST_HALF:
        return None
    middle = np.array([column + 0.5, row + 0.5])
    around = half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return GreyView((middle + around) / scale)


def _even_parts(slope: NDArray[np.uint8], step: int) -> NDArray[np.int32]:
    """Numbers (h, w) of the even regions, 0 where it is not even.

    slope: uint8 (h, w), the steps of 8-bit code round each pixel.
    """
    even = cv2.threshold(slope, step - 1, 1, cv2.THRESH_BINARY_INV)[1]
    return np.asarray(cv2.connectedComponents(even, connectivity=4)[1], np.int32)


def _sheets(
    parts: NDArray[np.int32], least: float
) -> list[tuple[NDArray[np.float64], NDArray[np.bool_]]]:
    """Even regions with four straight edges: corners (4, 2) and mask (h, w).

    least: share of the photo from which on they are looked at.
    """
    few = parts[::2, ::2]  # a quarter of the pixels leaves out what is far too small
    seen = np.bincount(np.ravel(few)) >= 0.5 * least * few.size
    seen[0] = False  # all that is not even
    for edge in (parts[:2], parts[-2:], parts[:, :2], parts[:, -2:]):
        # a sheet that is cut off by the frame does not show its edges
        seen[edge[edge < len(seen)]] = False
    found = []
    for k in np.flatnonzero(seen):
        mask = np.asarray(parts == k)
        if not least <= np.count_nonzero(mask) / mask.size <= MOST_AREA:
            continue
        left, top, wide, high = cv2.boundingRect(mask.view(np.uint8))
        quad = _four_corners(mask[top : top + high, left : left + wide])
        if quad is not None:
            found.append((quad + np.array([left, top]), mask))
    return found


def _four_corners(mask: NDArray[np.bool_]) -> NDArray[np.float64] | None:
    outlines, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max(outlines, key=len)
    hull = cv2.convexHull(outline)
    around = cv2.arcLength(hull, True)
    rough = cv2.approxPolyDP(hull, 0.03 * around, True)
    if len(rough) != 4:
        return None
    corners = rough[:, 0].astype(np.float64)
    points = outline[:, 0].astype(np.float64)
    away = np.min([_distance(points, corners[k], corners[(k + 1) % 4]) for k in range(4)], axis=0)
    if (away <= OUTLINE_PX).mean() < STRAIGHT:
        return None
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1)
    if sides.min() < LEAST_SIDE or sides.max() > MOST_ASPECT * sides.min():
        return None
    unlike = np.maximum(sides[:2], sides[2:]) / np.minimum(sides[:2], sides[2:])
    if unlike.max() > MOST_UNLIKE:
        return None
    if mask.sum() < FILLED * cv2.contourArea(rough):
        return None
    return corners + 0.5


def _distance(
    points: NDArray[np.float64], start: NDArray[np.float64], end: NDArray[np.float64]
) -> NDArray[np.float64]:
    along = (end - start) / np.linalg.norm(end - start)
    offset = points - start
    return np.asarray(np.abs(offset[:, 0] * along[1] - offset[:, 1] * along[0]))


def _is_grey_card(
    light: NDArray[np.float32],
    quad: NDArray[np.float64],
    mask: NDArray[np.bool_],
    cast: NDArray[np.float64],
) -> bool:
    mean = light[mask].mean(axis=0).astype(np.float64)
    if not LEVEL[0] <= mean[1] <= LEVEL[1]:
        return False
    ln_mean = np.log(np.maximum(mean, 1e-4))
    own = ln_mean - ln_mean[1]
    if min(np.abs(own).max(), np.abs(own - cast).max()) > MOST_CAST:
        return False
    if (light[..., 1] > BRIGHTER * mean[1]).mean() < LEAST_BRIGHTER:
        return False
    return _grain(light[..., 1], mask) <= MOST_GRAIN and _set_off(light, quad) >= LEAST_STEP


def _grain(green: NDArray[np.float32], mask: NDArray[np.bool_]) -> float:
    """Robust sd of ln(light) on the sheet against the best plane."""
    calm = np.log(np.maximum(green, 1e-4))
    inner = cv2.erode(mask.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    y, x = np.nonzero(inner)
    if len(x) < LEAST_SIDE**2:
        return np.inf
    values = calm[y, x].astype(np.float64)
    plane = np.column_stack([np.ones(len(x)), x / len(x) ** 0.5, y / len(x) ** 0.5])
    missed = values - plane @ np.linalg.lstsq(plane, values, rcond=None)[0]
    return float(MAD_TO_SD * np.median(np.abs(missed)))


def _set_off(light: NDArray[np.float32], quad: NDArray[np.float64]) -> float:
    """The least step in ln(light) of any channel from inside to outside over the four sides."""
    height, width = light.shape[:2]
    middle = quad.mean(axis=0)
    steps = []
    for k in range(4):
        start, end = quad[k], quad[(k + 1) % 4]
        normal = np.array([end[1] - start[1], start[0] - end[0]])
        normal = normal / np.linalg.norm(normal)
        normal = normal if normal @ (start - middle) > 0 else -normal
        along = start + np.linspace(0.1, 0.9, 41)[:, None] * (end - start)
        sides = []
        for reach in (-INSIDE_PX, OUTSIDE_PX):
            x, y = np.clip(along + reach * normal, 0, (width - 1, height - 1)).astype(int).T
            sides.append(np.log(np.maximum(light[y, x], 1e-3)))
        # The step must show along most of the side.
        steps.append(float(np.quantile(np.abs(sides[1] - sides[0]).max(axis=1), 0.2)))
    return min(steps)
