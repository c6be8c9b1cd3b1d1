"""The light of a photo from the grey that shows through the bench card's windows."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.bench_card.layout import Area, load_layout
from tipvision.colour.srgb import linear_table
from tipvision.light.find_card import CardView
from tipvision.light.light import Light
from tipvision.light.one_grey import (
    CARD_NEUTRAL_SD,
    CARD_REFLECTANCE_SD,
    correction_of,
    samples_of,
    steady_mean,
)
from tipvision.record.reason import reason

INNER_SHARE = 0.6  # of a window's sides: keeps off the cut edge and its shadow; our estimate
CLIPPED_CODE, BURIED_CODE = 250, 3  # 8-bit codes from which on, or up to which, light is lost
LEAST_UNCLIPPED = 0.9  # share of a window's pixels that must carry light; our estimate
LEAST_PIXELS = 25  # of a window in the overview, below which its mean says little; our estimate
LEAST_WINDOWS = 3  # a plane of light has three unknowns

# Paper reflects about 0.9, so a grey of 0.18 shows a fifth of it; a phone's tone curve may stretch
# that. What lies outside is no neutral card: a bare bench, a shadow, oil. All our estimate.
PAPER_RATIO = (0.08, 0.45)
PAPER_CAST = 0.20  # |ln| of red/green and blue/green between grey and paper; brightener included

FALL_OFF_LIMIT = 2.0  # brightest window over darkest; more is a shadow; our estimate
PLANE_LIMIT = 0.10  # |ln| by which a window may miss the plane of light; our estimate
MIXED_LIMIT = 0.10  # range of ln(red/green), ln(blue/green) between windows; our estimate

# Standard deviations of ln(gain); all our estimate.
SEAT_HEIGHT_SD = 0.05  # the firing end stands a thread's length above the card, nearer to the lamp
PLANE_SD = 0.03  # a fall-off that is not a plane, where three windows cannot show it


@dataclass(frozen=True)
class _Patch:
    """Linear light of a window: its centre on the card (mm), mean (3,), and the mean's ln error."""

    centre: tuple[float, float]
    mean: NDArray[np.float64]
    error: NDArray[np.float64]


def light_of_card(overview: NDArray[np.uint8], card: CardView) -> Light | None:
    """The light that falls on the bench card's seat, or None where the windows do not tell it.

    The grey in the windows is scaled, channel by channel in linear sRGB, to the neutral card's
    reflectance under D65 (von Kries's rule with the camera's own channels as the cones; a full
    matrix needs more colours than one grey). Across the card the logarithm of the light is a
    plane, and its value at the seat counts. Refused: fewer than three windows that carry light and
    look like grey beside their paper, or a fall-off that is no plane of light. Windows of different
    cast give the reason `mixed_light`.

    overview: uint8 (h, w, 3), RGB encoded as sRGB, of the whole displayed photo.
    card:     where the card lies, as `find_bench_card` found it in the same overview.
    """
    layout = load_layout()
    patches = [
        patch
        for window in layout.windows
        if (patch := _patch(overview, card, window.area)) is not None
    ]
    if len(patches) < LEAST_WINDOWS:
        return None
    means = np.log([patch.mean for patch in patches])
    brightness = means.mean(axis=1)
    if np.ptp(brightness) > np.log(FALL_OFF_LIMIT):
        return None
    away = np.array([patch.centre for patch in patches]) - layout.seat.centre
    plane = np.column_stack([np.ones(len(patches)), away])
    weights = np.linalg.pinv(plane)
    misses = brightness - plane @ (weights @ brightness)
    if np.abs(misses).max() > PLANE_LIMIT:
        return None
    at_seat = weights[0] @ means
    casts = np.ptp(means[:, (0, 2)] - means[:, (1,)], axis=0)
    spare = len(patches) - LEAST_WINDOWS
    bent = float(np.sqrt((misses**2).sum() / spare)) if spare else PLANE_SD
    common = np.hypot(np.hypot(CARD_REFLECTANCE_SD, SEAT_HEIGHT_SD), bent)
    noise = np.sqrt(weights[0] ** 2 @ np.array([patch.error for patch in patches]) ** 2)
    unequal = np.array([casts[0], casts.min(), casts[1]]) / 4  # four times the error of a mean
    single = np.sqrt(noise**2 + unequal**2 + CARD_NEUTRAL_SD**2)
    ln_gain = np.log(layout.reflectance) - at_seat
    return Light(
        source="bench_card",
        correction=correction_of(ln_gain),
        samples=samples_of(ln_gain, single, float(common)),
        card_corners=card.corners,
        px_per_mm=card.px_per_mm,
        level_known=True,
        reasons=(reason("mixed_light"),) if casts.max() > MIXED_LIMIT else (),
    )


def _patch(overview: NDArray[np.uint8], card: CardView, window: Area) -> _Patch | None:
    """A window's light, or None where it is cut off, clipped or not the neutral card."""
    margin = window.width * (1 - INNER_SHARE) / 2
    codes = _pixels(overview, card, window.grown(-margin))
    if codes is None or len(codes) < LEAST_PIXELS:
        return None
    kept = codes[(codes < CLIPPED_CODE).all(axis=1) & (codes > BURIED_CODE).all(axis=1)]
    if len(kept) < LEAST_UNCLIPPED * len(codes):
        return None
    mean, error = steady_mean(linear_table()[kept].astype(np.float64))
    if not _greyer_than_paper(mean, _paper(overview, card, window)):
        return None
    return _Patch(window.centre, mean, error / mean)


def _pixels(overview: NDArray[np.uint8], card: CardView, area: Area) -> NDArray[np.uint8] | None:
    """Codes (n, 3) of the overview's pixels in an area of the card; None where it is cut off."""
    height, width = overview.shape[:2]
    scale = np.array([width / card.size[0], height / card.size[1]])
    quad = card.to_px(np.array(area.corners)) * scale
    if (quad < 0).any() or (quad > (width, height)).any():
        return None
    left, top = np.floor(quad.min(axis=0)).astype(int)
    right, bottom = np.ceil(quad.max(axis=0)).astype(int)
    inside = np.zeros((bottom - top, right - left), np.uint8)
    shift = 4  # sixteenths of a pixel
    drawn = np.round((quad - (left, top) - 0.5) * 2**shift).astype(np.int32)
    cv2.fillConvexPoly(inside, drawn, 1, cv2.LINE_8, shift)
    codes: NDArray[np.uint8] = overview[top:bottom, left:right][inside > 0]
    return codes


def _paper(overview: NDArray[np.uint8], card: CardView, window: Area) -> NDArray[np.uint8] | None:
    """Codes (3,) of the paper to the left and right of a window; None where it is cut off."""
    beside = (
        Area(window.x - 4.0, window.y, 3.0, window.height),
        Area(window.x + window.width + 1.0, window.y, 3.0, window.height),
    )
    strips = [_pixels(overview, card, area) for area in beside]
    seen = [strip for strip in strips if strip is not None and len(strip)]
    if not seen:
        return None
    # The brighter side: a thread, a finger or a pencil note may darken one of them.
    codes: NDArray[np.uint8] = max(
        (np.median(strip, axis=0).astype(np.uint8) for strip in seen), key=lambda code: code.sum()
    )
    return codes


def _greyer_than_paper(mean: NDArray[np.float64], paper: NDArray[np.uint8] | None) -> bool:
    """Whether a window's light stands to its paper as a neutral card's does."""
    if paper is None:
        return True  # the card lies half outside the photo; the other windows speak for this one
    ratio = mean / np.maximum(linear_table()[paper], 1e-4)
    if (paper >= CLIPPED_CODE).any():
        # Burnt-out paper was brighter than it shows, so the true ratio is at most this one, and
        # its cast says nothing.
        return bool(ratio.min() >= PAPER_RATIO[0] / 2)
    casts = np.abs(np.log(ratio[[0, 2]] / ratio[1]))
    return bool(PAPER_RATIO[0] <= ratio.mean() <= PAPER_RATIO[1] and casts.max() <= PAPER_CAST)
