import base64
from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.report import samples
from tipvision.report.picture import (
    CLOSE_UP_BYTES,
    PHOTO_BYTES,
    PHOTO_SIDE,
    close_up,
    data_uri,
    path_of,
    whole_photo,
)

HEAD = "data:image/jpeg;base64,"


def decoded(uri: str) -> NDArray[np.uint8]:
    assert uri.startswith(HEAD)
    return np.asarray(Image.open(BytesIO(base64.b64decode(uri[len(HEAD) :]))).convert("RGB"))


@pytest.mark.parametrize("shape", [(3000, 2000, 3), (40, 900, 3), (1, 1, 3)])
def test_even_noise_stays_within_the_limit(shape: tuple[int, int, int]) -> None:
    noise = np.random.default_rng(1).integers(0, 256, shape, np.uint8)
    uri = data_uri(noise, PHOTO_SIDE, PHOTO_BYTES)
    assert len(uri) <= PHOTO_BYTES
    assert max(decoded(uri).shape[:2]) <= PHOTO_SIDE


def test_the_whole_report_of_a_noisy_photo_is_small() -> None:
    assert PHOTO_BYTES + CLOSE_UP_BYTES <= 200_000


def test_nothing_but_pixels_goes_along() -> None:
    jpeg = base64.b64decode(data_uri(samples.picture(), 200, 50_000)[len(HEAD) :])
    assert b"Exif" not in jpeg and b"GPS" not in jpeg and b"http" not in jpeg


def test_the_close_up_shows_the_whole_nose_from_the_right_place() -> None:
    """A picture at half size whose nose alone is white, on black."""
    tip = samples.tip(x=1000.0, y=400.0, radius=100.0)
    picture = np.zeros((600, 800, 3), np.uint8)
    y, x = np.mgrid[:600, :800]
    picture[(x - 500) ** 2 + (y - 200) ** 2 <= 50**2] = 255
    figure = close_up(picture, tip, samples.SIZE)
    assert figure is not None
    box = figure.box
    assert box.x0 < 900 and box.x1 > 1100 and box.y0 < 300 and box.y1 > 500
    assert ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2) == pytest.approx((1000, 400), abs=2)
    share = (decoded(figure.uri)[..., 0] > 127).mean()
    assert share == pytest.approx(np.pi * 100**2 / (box.width * box.height), rel=0.03)


def test_the_close_up_stays_in_the_photo() -> None:
    figure = close_up(samples.picture(), samples.tip(x=10.0, y=1190.0), samples.SIZE)
    assert figure is not None
    assert figure.box.x0 == 0 and figure.box.y1 == samples.SIZE[1]


def test_an_outline_outside_the_photo_has_no_close_up() -> None:
    assert close_up(samples.picture(), samples.tip(x=9000.0, y=50.0), samples.SIZE) is None


def test_the_whole_photo_numbers_several_noses() -> None:
    one = whole_photo(samples.picture(), (samples.tip(),), samples.SIZE)
    two = whole_photo(samples.picture(), samples.SEVERAL.tips, samples.SIZE)
    assert one.numbers == () and len(one.paths) == 1
    assert [number for _, _, number in two.numbers] == [1, 2] and len(two.paths) == 2
    assert (two.box.width, two.box.height) == samples.SIZE


def test_without_a_size_the_picture_gives_it() -> None:
    figure = whole_photo(samples.picture(), (), None)
    assert (figure.box.width, figure.box.height) == (800, 600)


def test_path_of_closes_every_ring() -> None:
    rings = (np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 2.06]]), np.zeros((0, 2)))
    assert path_of(rings) == "M0.0 0.0 L1.0 0.0 L1.0 2.1 Z"
