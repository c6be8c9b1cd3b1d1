"""Whether a photo of a tip is good enough to be read, gate by gate."""

from math import floor

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.quantiles import median, quantiles
from tipvision.record.reason import Reason, reason
from tipvision.tip.labels import LUMINANCE
from tipvision.tip.tip import Part, Tip

# source of every threshold here: our estimate
LEAST_NOSE_PX = 24
LEAST_QUALITY = 0.55  # expected overlap of the outline with the nose
MOST_EDGE = (
    0.09  # width of the sharpest edges, of the nose's width; a blur of sigma s is 2.5 s wide
)
MOST_EDGE_PX = 3.5  # and in pixels of the window: a small nose cannot have narrower ones
DARK_NOSE = 0.003  # linear: under it one step of an 8-bit file is a tenth of the nose's light
DARK_TIP = 0.02  # linear: the brightest of the whole tip is no brighter: under-exposed
MOST_CLIPPED = 0.60
MOST_GLARE = 0.25
LEAST_VISIBLE = 0.30
EDGE_LEAST = 0.4  # edges of less than this share of the strongest contrast do not count


def gates(
    tip: Tip, window_linear: NDArray[np.float32], clipped: NDArray[np.bool_]
) -> tuple[Reason, ...]:
    """What speaks against reading this tip; empty where the photo is good enough.

    window_linear: float32 (h, w, 3), linear RGB 0 to 1 of `tip.box`. clipped: bool (h, w), a
    channel stood at its ceiling.
    """
    found = []
    h, w = clipped.shape
    labels = cv2.resize(tip.labels, (w, h), interpolation=cv2.INTER_NEAREST)
    glare = labels == Part.GLARE
    nose = (labels == Part.NOSE) | glare
    if tip.nose_px < LEAST_NOSE_PX and not tip.by_hand:
        found.append(reason("too_small", nose_px=floor(tip.nose_px), least=LEAST_NOSE_PX))
    if tip.visible < LEAST_VISIBLE or not nose.any():
        share = tip.visible if nose.any() else 0.0
        return (*found, reason("tip_hidden", percent=100 * share))
    if tip.quality < LEAST_QUALITY:
        found.append(reason("tip_not_found"))
    luminance = np.asarray(cv2.transform(window_linear, np.asarray([LUMINANCE])), np.float32)
    nose_px = tip.nose_px * w / max(tip.box.width, 1)
    if (
        median(luminance[nose]) < DARK_NOSE
        or quantiles(np.ravel(luminance[::2, ::2]), (0.95,))[0] < DARK_TIP
    ):
        found.append(reason("too_dark"))
    elif edge_width(luminance, nose_px) > max(
        MOST_EDGE * nose_px, MOST_EDGE_PX
    ):  # in the dark, noise passes for edges
        found.append(reason("blurred"))
    burnt = float((clipped & nose & ~glare).sum() / nose.sum())
    if burnt > MOST_CLIPPED:
        found.append(reason("clipped", percent=100 * burnt))
    shining = float(glare.sum() / nose.sum())
    if shining > MOST_GLARE:
        found.append(reason("glare", percent=100 * shining))
    return tuple(found)


def edge_width(luminance: NDArray[np.float32], nose_px: float) -> float:
    """Width of the sharpest clear edges of a tip, pixels of the window.

    luminance: float32 (h, w), linear 0 to 1. nose_px: width of the nose in the window, pixels.
    The width is an edge's whole step over its steepest slope, wherever it lies: rim, strap, nose. A
    nose may be as smooth as soot is, so texture says nothing of focus. Source: our own arrangement.
    """
    tone = np.cbrt(np.clip(luminance, 0, 1)).astype(np.float32)  # near L*: dark edges count too
    noise = max(0.6, 0.006 * nose_px)  # sigma that calms it and widens no edge much
    tone = np.asarray(cv2.GaussianBlur(tone, (0, 0), noise), np.float32)
    slope = cv2.magnitude(
        cv2.Sobel(tone, cv2.CV_32F, 1, 0, scale=1 / 8),
        cv2.Sobel(tone, cv2.CV_32F, 0, 1, scale=1 / 8),
    )
    reach = np.ones((2 * max(2, round(0.12 * nose_px)) + 1,) * 2, np.uint8)
    # of what reaches so far every second pixel says it all
    step = (cv2.dilate(tone, reach) - cv2.erode(tone, reach))[::2, ::2]
    steepest = cv2.dilate(slope, reach)[::2, ::2]
    clear = step > EDGE_LEAST * quantiles(np.ravel(step), (0.98,))[0]
    sharpness = steepest[clear] / np.maximum(step[clear], 1e-6)
    if sharpness.size == 0:
        return float("inf")
    return 1 / max(quantiles(sharpness, (0.75,))[0], 1e-6)
