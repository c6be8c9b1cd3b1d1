"""The nose and what is round it as the coat nets see it: corrected pixels and parts, 128 a side."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.light import MID_GREY, Light
from tipvision.tip.tip import Part

COAT_PX = 128
ROUND = 2.2  # side of the view over the nose's greater extent: rim and strap show, too
BRIGHTEST = 2.0  # of linear light, a perfect white is 1: metal in glare is brighter than white
PARTS = (Part.NOSE, Part.GLARE, Part.ELECTRODE, Part.STRAP, Part.SHELL)
KNOWN = 3
"""Numbers that tell how well the light is known, as `doubt_of` gives them."""

CHANNELS = 3 + len(PARTS) + KNOWN


@dataclass(frozen=True)
class Cut:
    """The square round a nose. linear: float32 (s, s, 3), nominal linear sRGB as stored, at most
    `COAT_PX` a side, NaN outside the window. labels: uint8 (s, s) of `Part`."""

    linear: NDArray[np.float32]
    labels: NDArray[np.uint8]


def cut_round(linear: NDArray[np.float32], labels: NDArray[np.uint8]) -> Cut | None:
    """The square round the nose in a window; None where no nose shows.

    linear: float32 (h, w, 3), nominal linear sRGB. labels: uint8 of `Part`, of any size, stretched
    over the window.
    """
    size = (linear.shape[1], linear.shape[0])
    if labels.shape != linear.shape[:2]:
        labels = np.asarray(cv2.resize(labels, size, interpolation=cv2.INTER_NEAREST), np.uint8)
    nose = (labels == Part.NOSE) | (labels == Part.GLARE)
    rows, columns = np.flatnonzero(nose.any(axis=1)), np.flatnonzero(nose.any(axis=0))
    if rows.size == 0:
        return None
    extent = max(np.ptp(rows), np.ptp(columns)) + 1
    side = max(8, round(ROUND * float(extent)))
    top = round((rows[0] + rows[-1] + 1 - side) / 2)
    left = round((columns[0] + columns[-1] + 1 - side) / 2)
    picture = np.full((side, side, 3), np.nan, np.float32)
    parts = np.zeros((side, side), np.uint8)
    y0, x0 = max(0, -top), max(0, -left)
    height = min(side - y0, size[1] - max(0, top))
    width = min(side - x0, size[0] - max(0, left))
    into = (slice(y0, y0 + height), slice(x0, x0 + width))
    out_of = (
        slice(max(0, top), max(0, top) + height),
        slice(max(0, left), max(0, left) + width),
    )
    picture[into], parts[into] = linear[out_of], labels[out_of]
    if side > COAT_PX:
        out = (COAT_PX, COAT_PX)
        return Cut(
            np.asarray(cv2.resize(picture, out, interpolation=cv2.INTER_AREA), np.float32),
            np.asarray(cv2.resize(parts, out, interpolation=cv2.INTER_NEAREST), np.uint8),
        )
    return Cut(picture, parts)


def coat_view(cut: Cut, correction: Correction) -> NDArray[np.float32]:
    """float32 (3 + len(PARTS), 128, 128), each 0 to 1: cube roots of corrected linear sRGB over
    that of `BRIGHTEST` (what lies outside the photo is mid grey), then a map of each part.

    correction: of the light at its reference.
    """
    side = (COAT_PX, COAT_PX)
    flat = np.nan_to_num(cut.linear.reshape(-1, 3), nan=-1.0)
    corrected = correction.xyz(np.maximum(flat, 0.0)) @ np.linalg.inv(RGB_TO_XYZ).T
    corrected[flat[:, 0] < 0] = MID_GREY
    encoded = np.cbrt(np.clip(corrected, 0.0, BRIGHTEST) / BRIGHTEST).astype(np.float32)
    picture = cv2.resize(encoded.reshape(cut.linear.shape), side, interpolation=cv2.INTER_LINEAR)
    parts = [
        cv2.resize((cut.labels == part).astype(np.float32), side, interpolation=cv2.INTER_LINEAR)
        for part in PARTS
    ]
    return np.concatenate([picture.transpose(2, 0, 1), np.stack(parts)])


def with_doubt(view: NDArray[np.float32], doubt: NDArray[np.float32]) -> NDArray[np.float32]:
    """A view with its doubt as planes of one number each: what a net sees, float32 (CHANNELS, 128,
    128). view: as `coat_view` gives it. doubt: as `doubt_of` does."""
    return np.concatenate([view, np.broadcast_to(doubt[:, None, None], (KNOWN, *view.shape[1:]))])


def doubt_of(light: Light) -> NDArray[np.float32]:
    """float32 (3,): 1 where the light's level is known, else 0; spread of ln luminance and of
    ln red/green and blue/green of a mid grey over the light's draws."""
    rgb = light.samples.xyz(np.full((1, 3), MID_GREY))[:, 0] @ np.linalg.inv(RGB_TO_XYZ).T
    ln = np.log(np.maximum(rgb, 1e-4))
    cast = (ln[:, [0, 2]] - ln[:, [1]]).std(axis=0)
    return np.array(
        [float(light.level_known), float(ln[:, 1].std()), float(np.hypot(*cast))], np.float32
    )
