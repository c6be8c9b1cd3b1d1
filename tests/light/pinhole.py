"""A flat thing photographed by a pinhole camera, whatever is printed on it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Shot:
    """How the thing lies, and how it is lit and photographed.

    tilt, azimuth, roll: degrees. fill: its width over the photo's longer side, seen straight on.
    shift: pixels from the photo's middle. slope: change of ln(light) a unit of the thing. blur:
    pixels (sd). noise: 8-bit codes (sd). size: width and height of the photo, pixels.
    """

    slope: tuple[float, float] = (0.0, 0.0)
    tilt: float = 0.0
    azimuth: float = 0.0
    roll: float = 0.0
    fill: float = 0.75
    shift: tuple[float, float] = (0.0, 0.0)
    blur: float = 0.7
    noise: float = 1.0
    size: tuple[int, int] = (1024, 768)
    seed: int = 0
    mirrored: bool = False


def seen_by_pinhole(
    shot: Shot, wide: float, centre: tuple[float, float], distance: float
) -> NDArray[np.float64]:
    """Homography (3, 3) from the thing's plane to pixels.

    wide: of the thing. centre: its point that the camera turns about. distance: of the camera; all
    in the thing's own unit.
    """
    width, height = shot.size
    focal = shot.fill * max(width, height) / wide * distance
    tilt, azimuth, roll = np.radians([shot.tilt, shot.azimuth, shot.roll])
    axis = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    turn = cv2.Rodrigues(axis * tilt)[0] @ cv2.Rodrigues(np.array([0.0, 0.0, roll]))[0]
    place = np.column_stack([turn[:, :2], -turn @ [*centre, 0.0] + [0.0, 0.0, distance]])
    middle = [width / 2 + shot.shift[0], height / 2 + shot.shift[1]]
    lens = np.array([[focal, 0, middle[0]], [0, focal, middle[1]], [0, 0, 1.0]])
    return lens @ place
