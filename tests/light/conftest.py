"""A photographed bench card, with its light, its pose and its patch of colour known."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from PIL.ExifTags import IFD

from tests.light.pinhole import Shot, seen_by_pinhole
from tests.stored_sample import CHART
from tipvision.bench_card.layout import load_layout
from tipvision.bench_card.raster import raster_card
from tipvision.colour.srgb import encode
from tipvision.light.chart.editions import LATEST
from tipvision.light.chart.find import find_chart
from tipvision.light.from_chart import fit_of_chart
from tipvision.light.stored import StoredLight, conditions_of
from tipvision.photo.photo import Photo, open_photo

PX_PER_MM = 8.0
WINDOW, SEAT = 128, 64  # codes by which the flat card's areas are told apart
TAN = (0.36, 0.27, 0.19)  # linear sRGB under D65 of the patch in the seat


@dataclass(frozen=True)
class Scene(Shot):
    """What is photographed, and how.

    gains:    light and camera together, a factor for each channel.
    slope:    change of ln(light) per mm, across and along the card.
    grey:     linear sRGB of each window, upper left, upper right, lower left, lower right.
    tilt:     degrees between the camera's axis and the card's normal, towards `azimuth`.
    fill:     long side of the card as a share of the photo's long side, seen straight on.
    blur:     standard deviation in pixels of the photo.
    noise:    standard deviation in 8-bit codes.
    """

    gains: tuple[float, float, float] = (1.0, 1.0, 1.0)
    paper: tuple[float, float, float] = (0.88, 0.88, 0.88)
    grey: tuple[tuple[float, float, float], ...] = ((0.18, 0.18, 0.18),) * 4
    patch: tuple[float, float, float] = TAN
    hidden: tuple[str, ...] = field(default=())  # "marker 20" and the like, covered by a hand


def pose(scene: Scene) -> NDArray[np.float64]:
    """Homography (3, 3) from card mm to pixels of a pinhole camera."""
    layout = load_layout()
    return seen_by_pinhole(scene, layout.width, (layout.width / 2, layout.height / 2), 260.0)


def photograph(scene: Scene) -> NDArray[np.uint8]:
    """uint8 (h, w, 3), RGB encoded as sRGB."""
    layout = load_layout()
    flat = raster_card(PX_PER_MM, WINDOW, SEAT)
    light = np.where((flat == 255)[..., None], np.array(scene.paper), 0.04)
    y, x = (np.indices(flat.shape) + 0.5) / PX_PER_MM
    light[flat == SEAT] = scene.patch
    for window, grey in zip(layout.windows, scene.grey, strict=True):
        (x0, y0), _, (x1, y1), _ = window.area.corners
        light[(flat == WINDOW) & (x > x0) & (x < x1) & (y > y0) & (y < y1)] = grey
    for marker in layout.markers:
        if f"marker {marker.id}" in scene.hidden:
            (x0, y0), _, (x1, y1), _ = marker.quiet_zone.corners
            light[(x > x0) & (x < x1) & (y > y0) & (y < y1)] = (0.4, 0.25, 0.2)
    along = (x - layout.seat.centre[0], y - layout.seat.centre[1])
    light *= np.exp(along[0] * scene.slope[0] + along[1] * scene.slope[1])[..., None]
    light *= scene.gains
    # Twice the size, then averaged down, as a camera's pixels average.
    to_photo = np.diag([2.0, 2.0, 1.0]) @ pose(scene) @ np.diag([1 / PX_PER_MM] * 2 + [1.0])
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    width, height = scene.size
    bench = tuple(0.12 * gain for gain in scene.gains)
    seen = cv2.warpPerspective(
        light,
        np.linalg.inv(half) @ to_photo @ half,
        (2 * width, 2 * height),
        flags=cv2.INTER_LINEAR,
        borderValue=bench,
    )
    seen = cv2.resize(seen, scene.size, interpolation=cv2.INTER_AREA)
    seen = cv2.GaussianBlur(seen, (0, 0), scene.blur)
    rng = np.random.default_rng(scene.seed)
    codes = 255 * encode(np.clip(seen, 0, 1)) + rng.normal(0, scene.noise, seen.shape)
    photo = np.clip(np.round(codes), 0, 255).astype(np.uint8)
    return np.ascontiguousarray(photo[:, ::-1]) if scene.mirrored else photo


@dataclass(frozen=True)
class Studio:
    """What the tests take from here (tests import no modules of one another)."""

    scene: type[Scene]
    pose: Callable[[Scene], NDArray[np.float64]]
    photograph: Callable[[Scene], NDArray[np.uint8]]


@pytest.fixture(scope="session")
def studio() -> Studio:
    return Studio(Scene, pose, photograph)


@pytest.fixture
def saved(tmp_path) -> Callable[..., Photo]:
    """Write a picture, uint8 (h, w, 3), as a photo with Exif values by tag and open it."""

    def save(picture: NDArray[np.uint8], camera: dict[int, object] | None = None) -> Photo:
        exif = Image.Exif()
        exif.get_ifd(IFD.Exif).update(camera or {})
        path = tmp_path / f"photo-{len(list(tmp_path.iterdir()))}.png"
        Image.fromarray(picture).save(path, exif=exif.tobytes())
        return open_photo(str(path))

    return save


@pytest.fixture(scope="session")
def chart_photo() -> Path:
    """A rendered photo of the 24-patch chart under a lamp, whose EXIF tells the exposure."""
    return CHART


@pytest.fixture(scope="session")
def stored(chart_photo) -> StoredLight:
    """The light that a shop would keep from it."""
    photo = open_photo(str(chart_photo))
    overview = photo.overview()
    fit = fit_of_chart(photo, find_chart(overview, photo.size), LATEST)
    conditions = conditions_of(photo.metadata, overview)
    return StoredLight("bench", fit.correction, fit.samples, fit.verdict, fit.mean, conditions)
