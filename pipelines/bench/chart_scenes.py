"""Drawn photos with a 24-patch chart, and with what might be taken for one.

Each is a flat sheet seen by a pinhole camera on the ground of a rendered photo of the labelled
sample, with a lamp's cast, shading, blur, noise and JPEG compression. Cheap enough for thousands.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.srgb import RGB_TO_XYZ, encode, linear_table
from tipvision.light.chart.editions import COLUMNS, ROWS, editions
from tipvision.light.homography import project

Array = NDArray[np.float64]

SAMPLE = Path(__file__).parents[2] / "synthetic_images" / "sample"
CELL = 24  # pixels of the flat drawing to a step of the patches
MOST_TILT = 50.0  # degrees
STEPS = (10.0, 60.0)  # pixels of the photo to a step of the patches, seen straight on
LEAST_STEP = 8.0  # pixels of the photo to a step, the shorter way as it is seen
MOST_BLUR = 0.16  # of a step, standard deviation; more and patches run into one another
INSIDE = 3.0  # pixels that a whole sheet stays away from the frame
LONGER_SIDES = (448, 640, 800, 1024)  # pixels of the photo


@dataclass(frozen=True)
class Scene:
    """One photo. photo: uint8 (h, w, 3), RGB encoded as sRGB. pose: float64 (3, 3), from (column,
    row, 1) of the sheet's tiles to pixels; None where no sheet was laid in. step: pixels between
    its tiles, at its middle, the shorter way. tilt: degrees."""

    photo: NDArray[np.uint8]
    pose: Array | None
    step: float
    tilt: float


def chart_scene(rng: np.random.Generator) -> Scene:
    """A photo that shows one whole chart of a random edition, tilted up to `MOST_TILT` degrees."""
    return _laid(rng, _chart(rng))


def other_scene(rng: np.random.Generator, kind: str) -> Scene:
    """A photo without a chart; `kind` is one of `OTHERS`."""
    tiles = OTHERS[kind](rng)
    return _bare(rng) if tiles is None else _laid(rng, tiles)


def _chart(rng: np.random.Generator) -> Array:
    edition = rng.choice(list(editions()))
    colours = editions()[edition].xyz @ np.linalg.inv(RGB_TO_XYZ).T
    return np.asarray(np.maximum(colours, 0.0).reshape(ROWS, COLUMNS, 3))


def _nothing(_rng: np.random.Generator) -> None:
    """No sheet at all."""


def _random(rng: np.random.Generator) -> Array:
    return rng.uniform(0.02, 0.9, (ROWS, COLUMNS, 3)) ** rng.uniform(1.0, 2.2)


def _random_size(rng: np.random.Generator) -> Array:
    rows, columns = rng.integers(3, 9, 2)
    return rng.uniform(0.02, 0.9, (rows, columns, 3)) ** rng.uniform(1.0, 2.2)


def _shuffled(rng: np.random.Generator) -> Array:
    return rng.permutation(_chart(rng).reshape(-1, 3)).reshape(ROWS, COLUMNS, 3)


def _rows_exchanged(rng: np.random.Generator) -> Array:
    order = np.arange(ROWS)
    while (order == np.arange(ROWS)).all():
        order = rng.permutation(ROWS)
    return _chart(rng)[order]


def _mirrored(rng: np.random.Generator) -> Array:
    return _chart(rng)[:, ::-1]


def _transposed(rng: np.random.Generator) -> Array:
    """The chart's rows of colours in columns, as another maker might print them."""
    return np.swapaxes(_chart(rng), 0, 1)


def _greys(rng: np.random.Generator) -> Array:
    rows, columns = rng.integers(4, 8, 2)
    cast = np.exp(rng.normal(0, 0.05, 3))
    return rng.uniform(0.03, 0.9, (rows, columns, 1)) * cast


def _paint_fan(rng: np.random.Generator) -> Array:
    """Hues by column, lightness by row: a paint shop's card."""
    angle = np.linspace(0, 2 * np.pi, COLUMNS, endpoint=False) + rng.uniform(0, 6)
    hue = 0.5 + 0.45 * np.cos(angle[:, None] + np.array([0.0, 2.1, 4.2]))
    return np.asarray(hue[None] * np.geomspace(0.9, 0.1, ROWS)[:, None, None])


OTHERS: dict[str, Callable[[np.random.Generator], Array | None]] = {
    "photos without a sheet": _nothing,
    "random tiles, six by four": _random,
    "random tiles of other numbers": _random_size,
    "the chart's colours, shuffled": _shuffled,
    "the chart's rows, exchanged": _rows_exchanged,
    "mirrored charts": _mirrored,
    "rows and columns exchanged": _transposed,
    "grey tiles": _greys,
    "paint cards": _paint_fan,
}
"""What a photo without a chart may show."""


def _laid(rng: np.random.Generator, tiles: Array) -> Scene:
    """A sheet of tiles, linear RGB (rows, columns, 3), laid into a photo so that it lies whole."""
    ground = _ground(rng)
    while True:
        tilt = float(np.degrees(np.arccos(rng.uniform(np.cos(np.radians(MOST_TILT)), 1.0))))
        across = float(np.exp(rng.uniform(*np.log(STEPS))))
        pose = _pose(rng, tiles.shape, ground.shape, tilt, across)
        step = 0.0 if pose is None else _shorter_step(pose, tiles.shape)
        if pose is not None and step >= LEAST_STEP:
            break
    sheet, to_tiles = _sheet(rng, tiles)
    height, width = ground.shape[:2]
    half = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1.0]])
    twice = np.diag([2.0, 2.0, 1.0])
    seen = cv2.warpPerspective(
        sheet,
        half @ twice @ pose @ to_tiles,
        (2 * width, 2 * height),
        dst=cv2.resize(ground, (2 * width, 2 * height), interpolation=cv2.INTER_LINEAR),
        flags=cv2.INTER_AREA if across < CELL else cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_TRANSPARENT,
    )
    seen = np.asarray(cv2.resize(seen, (width, height), interpolation=cv2.INTER_AREA))
    blur = float(min(rng.uniform(0.3, 1.8), MOST_BLUR * step))
    return Scene(_photographed(rng, seen, blur), pose, step, tilt)


def _shorter_step(pose: Array, shape: tuple[int, ...]) -> float:
    """Pixels to a step of the tiles at their middle, in the direction that shows it shortest."""
    middle = (np.array(shape[1::-1]) - 1) / 2
    near = project(pose, middle + 0.01 * np.array([[-1, 0], [1, 0], [0, -1], [0, 1]]))
    steps = np.stack([near[1] - near[0], near[3] - near[2]]) / 0.02
    return float(np.linalg.svd(steps)[1][1])


def _bare(rng: np.random.Generator) -> Scene:
    return Scene(_photographed(rng, _ground(rng), rng.uniform(0.3, 1.8)), None, 0.0, 0.0)


def _photographed(rng: np.random.Generator, light: Array, blur: float) -> NDArray[np.uint8]:
    gain = np.exp(rng.normal(0, (0.15, 0.0, 0.15)) + rng.uniform(-0.7, 0.35))
    seen = cv2.GaussianBlur(np.clip(light * gain, 0, 1), (0, 0), blur)
    codes = 255 * encode(np.clip(seen, 0, 1) ** rng.uniform(0.85, 1.2))
    grain = rng.standard_normal(seen.shape, np.float32) * np.float32(rng.uniform(0, 6))
    codes = codes + cv2.GaussianBlur(grain, (0, 0), 0.6)
    photo = np.clip(np.round(codes), 0, 255).astype(np.uint8)
    quality = int(rng.integers(55, 97))
    _, packed = cv2.imencode(".jpg", photo[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return np.ascontiguousarray(cv2.imdecode(packed, cv2.IMREAD_COLOR)[..., ::-1], np.uint8)


def _sheet(rng: np.random.Generator, tiles: Array) -> tuple[Array, Array]:
    """The flat drawing in linear light (h, w, 3), and its map (3, 3) from pixels to tiles."""
    rows, columns = tiles.shape[:2]
    margin, side = rng.uniform(0.12, 0.5), rng.uniform(0.82, 0.92)
    border = rng.choice([0.03, 0.03, 0.85])  # white cards have a black grid as well
    high, wide = (round((n + 2 * margin) * CELL) for n in (rows, columns))
    row, column = (np.indices((high, wide)) + 0.5) / CELL - margin - 0.5
    near_row, near_column = np.round(row).astype(int), np.round(column).astype(int)
    within = (near_row >= 0) & (near_row < rows) & (near_column >= 0) & (near_column < columns)
    on_tile = np.maximum(np.abs(row - near_row), np.abs(column - near_column)) < side / 2
    face = np.where(within, 0.03, border)[..., None] * np.ones(3)
    shown = within & on_tile
    face[shown] = tiles[near_row[shown], near_column[shown]]
    slope = rng.normal(0, 0.03, 2)
    face *= np.exp((column - columns / 2) * slope[0] + (row - rows / 2) * slope[1])[..., None]
    start = -margin - 0.5 + 0.5 / CELL
    return face.astype(np.float32), np.array(
        [[1 / CELL, 0, start], [0, 1 / CELL, start], [0, 0, 1.0]]
    )


def _pose(
    rng: np.random.Generator,
    shape: tuple[int, ...],
    photo: tuple[int, ...],
    tilt: float,
    step: float,
) -> Array | None:
    """From tiles to pixels (3, 3), or None where the sheet would not lie whole in the photo."""
    rows, columns = shape[:2]
    height, width = photo[:2]
    away = rng.uniform(2.0, 5.0) * max(rows, columns)  # the camera, in steps of the tiles
    azimuth = rng.uniform(0, 2 * np.pi)
    axis = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    roll = np.array([0.0, 0.0, rng.uniform(0, 2 * np.pi)])
    turn = cv2.Rodrigues(axis * np.radians(tilt))[0] @ cv2.Rodrigues(roll)[0]
    middle = np.array([(columns - 1) / 2, (rows - 1) / 2, 0.0])
    lens = np.diag([step * away, step * away, 1.0])
    lens[:2, 2] = rng.uniform(0.1, 0.9, 2) * (width, height)
    pose = lens @ np.column_stack([turn[:, :2], -turn @ middle + [0.0, 0.0, away]])
    edge = np.array([[-1, -1], [columns, -1], [columns, rows], [-1, rows]], np.float64)
    corners = project(pose, edge)
    inside = (corners >= INSIDE).all() and (corners <= np.array([width, height]) - INSIDE).all()
    return np.asarray(pose) if inside else None


def _ground(rng: np.random.Generator) -> Array:
    """Linear light (h, w, 3) of a photo of the sample that shows no reference."""
    picture = cv2.imread(str(rng.choice(_grounds())))[..., ::-1]
    longer = int(rng.choice(LONGER_SIDES))
    scale = longer / max(picture.shape[:2])
    size = (round(picture.shape[1] * scale), round(picture.shape[0] * scale))
    enlarged = cv2.resize(picture, size, interpolation=cv2.INTER_LINEAR)
    return linear_table()[enlarged]


@cache
def _grounds() -> tuple[str, ...]:
    rows = map(json.loads, (SAMPLE / "manifest.jsonl").read_text("utf-8").splitlines())
    return tuple(str(SAMPLE / row["file"]) for row in rows if not row["references"])
