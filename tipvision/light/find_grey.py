"""Find a grey card in a photo: an even, neutral sheet with straight edges, and nothing like it."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import linear_table
from tipvision.light.estimate import cast_of
from tipvision.light.even_sheets import even_parts, sheets
from tipvision.light.grey_card import GreyView
from tipvision.light.smaller import smaller
from tipvision.quantiles import MAD_TO_SD

# All our estimate; they are set so that a wrong sheet is rarely taken, and cards are missed rather.
WORKED_SIDE = 448  # pixels of the longer side at which sheets are looked for: grain averages out
BLUR = 1.5  # pixels, standard deviation
EDGES = (5, 9, 16)  # steps of 8-bit code within 3 pixels that part one sheet from another
LEAST_AREA = 0.025  # share of the photo from which on a sheet may be a card
LEAST_TILE = 0.002  # share of the photo from which on an even quadrilateral counts as a tile
MOST_TILES = 1  # even quadrilaterals of any colour beside the card: more are a printed sheet
LEAST_STEP = 0.10  # in ln(light) of some channel to what lies around it, on each side
INSIDE_PX, OUTSIDE_PX = 2.0, 7.0  # from the sheet's outline: where that step is taken
MOST_CAST = 0.25  # |ln(red/green)|, |ln(blue/green)| as seen, or against the photo's own cast
LEVEL = (0.02, 0.55)  # nominal light: above is paper, below is black
LEAST_PIXELS = 36  # of the sheet, to tell its grain by
MOST_GRAIN = 0.04  # robust sd of ln(light) on the sheet against a plane of light
BRIGHTER = 1.6  # something in the photo outshines a mid grey by this
LEAST_BRIGHTER = 0.002  # share of the photo that does


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
    even = [even_parts(steepest, step) for step in EDGES]
    if not any(sheets(parts, LEAST_AREA) for parts in even):
        return None  # most photos: without a card the tiles need not be counted
    tiles: list[NDArray[np.float64]] = []
    large: list[tuple[NDArray[np.float64], NDArray[np.bool_]]] = []
    for parts in even:
        for quad, mask in sheets(parts, LEAST_TILE):
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
    if len(x) < LEAST_PIXELS:
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
