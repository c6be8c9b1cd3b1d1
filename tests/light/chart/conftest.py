"""A photographed 24-patch chart, with its pose, its lamp and its camera's tone curve known."""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.light.pinhole import Shot, seen_by_pinhole
from tipvision.colour.srgb import RGB_TO_XYZ, encode
from tipvision.light.chart.editions import COLUMNS, LATEST, ROWS, edition_of
from tipvision.light.homography import project

CELL = 48  # pixels of the flat drawing to a step of the patches
MARGIN = 0.25  # steps of black frame around the patches
SIDE = 0.87  # of a patch, in steps


def printed() -> NDArray[np.float64]:
    """Linear sRGB (24, 3) of the latest edition; slightly negative where sRGB does not reach."""
    return edition_of(LATEST).xyz @ np.linalg.inv(RGB_TO_XYZ).T


@dataclass(frozen=True)
class Scene(Shot):
    """What is photographed, and how.

    patches:  linear RGB (24, 3); the chart's own where None.
    gains:    lamp and camera together, a factor for each channel.
    slope:    change of ln(light) a column and a row, zero at the chart's middle.
    exponent: of the camera's tone curve beside sRGB's.
    tilt:     degrees between the camera's axis and the chart's normal, towards `azimuth`.
    fill:     long side of the chart as a share of the photo's long side, seen straight on.
    blur:     standard deviation in pixels of the photo; noise in 8-bit codes.
    """

    patches: NDArray[np.float64] | None = None
    gains: tuple[float, float, float] = (0.75, 0.75, 0.75)
    exponent: float = 1.0
    ground: float = 0.3
    grain: float = 0.0
    fill: float = 0.5


def pose(scene: Scene) -> NDArray[np.float64]:
    """Homography (3, 3) from (column, row) to pixels of a pinhole camera."""
    return seen_by_pinhole(scene, COLUMNS + 2 * MARGIN, ((COLUMNS - 1) / 2, (ROWS - 1) / 2), 14.0)


def photograph(scene: Scene) -> NDArray[np.uint8]:
    """uint8 (h, w, 3), RGB encoded as sRGB after the tone curve."""
    rng = np.random.default_rng(scene.seed)
    patches = printed() if scene.patches is None else scene.patches
    wide, high = (round((n + 2 * MARGIN) * CELL) for n in (COLUMNS, ROWS))
    face = np.full((high, wide, 3), 0.03)
    row, column = (np.indices((high, wide)) + 0.5) / CELL - MARGIN - 0.5
    near_row, near_column = np.round(row).astype(int), np.round(column).astype(int)
    on_patch = np.maximum(np.abs(row - near_row), np.abs(column - near_column)) < SIDE / 2
    on_patch &= (near_row >= 0) & (near_row < ROWS) & (near_column >= 0) & (near_column < COLUMNS)
    face[on_patch] = patches[near_row[on_patch] * COLUMNS + near_column[on_patch]]
    across, down = column - (COLUMNS - 1) / 2, row - (ROWS - 1) / 2
    face *= np.exp(across * scene.slope[0] + down * scene.slope[1])[..., None]
    if scene.mirrored:
        face = face[:, ::-1].copy()
    to_cell = np.array([[1 / CELL, 0, 0.5 / CELL - MARGIN - 0.5]] * 2)
    to_cell = np.array([to_cell[0], [0, 1 / CELL, to_cell[1, 2]], [0, 0, 1]])
    half = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1.0]])
    twice = np.diag([2.0, 2.0, 1.0])
    width, height = scene.size
    ground = np.full((2 * height, 2 * width, 3), scene.ground)
    if scene.grain:
        blocks = rng.normal(0, scene.grain, (height // 4, width // 4, 1)).astype(np.float32)
        smooth = cv2.resize(blocks, (2 * width, 2 * height), interpolation=cv2.INTER_CUBIC)
        ground *= np.exp(smooth)[..., None]
    seen = cv2.warpPerspective(
        face,
        half @ twice @ pose(scene) @ to_cell,
        (2 * width, 2 * height),
        dst=ground,
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_TRANSPARENT,
    )
    seen = cv2.resize(seen * scene.gains, scene.size, interpolation=cv2.INTER_AREA)
    seen = cv2.GaussianBlur(seen, (0, 0), scene.blur)
    codes = 255 * encode(np.clip(seen, 0, 1) ** (1 / scene.exponent))
    codes = codes + rng.normal(0, scene.noise, seen.shape)
    return np.clip(np.round(codes), 0, 255).astype(np.uint8)


def corners(scene: Scene) -> NDArray[np.float64]:
    """Pixels (4, 2) of the outer corners of the block of patches."""
    x, y, half = COLUMNS - 1, ROWS - 1, SIDE / 2
    block = [[-half, -half], [x + half, -half], [x + half, y + half], [-half, y + half]]
    return project(pose(scene), np.array(block))


@dataclass(frozen=True)
class ChartStudio:
    """What the tests take from here (tests import no modules of one another)."""

    scene: type[Scene]
    pose: Callable[[Scene], NDArray[np.float64]]
    photograph: Callable[[Scene], NDArray[np.uint8]]
    corners: Callable[[Scene], NDArray[np.float64]]
    printed: Callable[[], NDArray[np.float64]]


@pytest.fixture(scope="session")
def studio() -> ChartStudio:
    return ChartStudio(Scene, pose, photograph, corners, printed)
