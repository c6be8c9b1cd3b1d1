"""A photo decodes what it is asked for, once, and shows and measures it."""

import numpy as np
import pytest
from PIL import Image

from tests.photo.pictures import bytes_of, lopsided, turned
from tipvision.photo.box import Box
from tipvision.photo.photo import OVERVIEW_PX, Photo, photo_from


def photo_of(picture: Image.Image, kind: str = "PNG", **options: object) -> Photo:
    return photo_from("p", bytes_of(picture, kind, **options))


@pytest.fixture(scope="module")
def twelve_megapixels() -> bytes:
    return bytes_of(lopsided(4032, 3024), "JPEG", quality=90)


def test_windows_are_averaged_in_linear_light():
    stripes = np.zeros((64, 64, 3), np.uint8)
    stripes[:, ::2] = 255
    window = photo_of(Image.fromarray(stripes)).window(Box(0, 0, 64, 64), longest=16)
    np.testing.assert_allclose(window.linear, 0.5, atol=1e-6)  # encoded values would give 0.21
    assert window.clipped.all()


def test_what_is_shown_of_a_box_is_its_pixels_averaged_as_they_are_encoded():
    checks = np.zeros((40, 60, 3), np.uint8)
    checks[::2, ::2] = checks[1::2, 1::2] = 200
    photo = photo_of(Image.fromarray(checks))
    shown = photo.shown(Box(4, 4, 44, 34), longest=20)
    assert shown.shape == (15, 20, 3)
    assert shown.min() == shown.max() == 100
    assert photo.shown(Box(-20, 0, 7, 500), longest=50).shape == (40, 7, 3)  # within the photo
    with pytest.raises(ValueError, match="outside"):
        photo.shown(Box(100, 0, 120, 10), longest=10)
    with pytest.raises(ValueError, match="outside"):
        photo.window(Box(0, -9, 20, 0), longest=10)


@pytest.mark.parametrize("size", [(400, 3), (3, 300), (1, 1)])
def test_a_sliver_narrower_than_a_block_is_one_block_wide(size):
    photo = photo_of(lopsided(400, 300))
    window = photo.window(Box(0, 0, *size), longest=40)
    step = -(-max(size) // 40)
    expected = tuple(max(1, n // step) for n in reversed(size))
    assert window.linear.shape == (*expected, 3) and window.clipped.shape == expected


def test_a_large_photo_has_a_small_overview(twelve_megapixels):
    photo = photo_from("p.jpg", twelve_megapixels)
    assert photo.size == (4032, 3024)
    assert 0.8 * OVERVIEW_PX <= max(photo.overview().shape) <= OVERVIEW_PX


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("width", [900, 1024, 1500, 1800, 2100, 3100])
def test_an_overview_is_never_large_nor_needlessly_small(kind, width):
    overview = photo_of(lopsided(width, 40), kind).overview()
    assert min(width, OVERVIEW_PX * 7 // 8) <= max(overview.shape) <= OVERVIEW_PX
    expected = lopsided(width, 40).resize(overview.shape[1::-1], Image.Resampling.BOX)
    assert np.abs(overview.astype(int) - expected).mean() < 3


def test_a_photo_is_decoded_once_where_half_scale_serves(twelve_megapixels):
    photo = photo_from("p.jpg", twelve_megapixels)
    photo.overview()
    photo.shown(Box(100, 100, 500, 500), longest=384)
    assert photo.window(Box(100, 100, 500, 500), longest=640, part_px=120).scale == 2
    assert photo.window(Box(0, 0, 3000, 3000), longest=640).scale == 2  # as fine as it is asked for
    assert photo.decodes == (2,)


def test_small_parts_and_small_photos_are_measured_in_full(twelve_megapixels):
    photo = photo_from("p.jpg", twelve_megapixels)
    photo.overview()
    box = Box(100, 100, 300, 300)
    assert photo.window(box, longest=640, part_px=119).scale == 1
    assert photo.window(box, longest=640).scale == 1
    assert photo.window(box, longest=640, part_px=120).scale == 2  # whatever was decoded before
    assert photo.decodes == (2, 1)
    small = photo_of(lopsided(1600, 1200), "JPEG")
    small.overview()
    assert small.window(box, longest=640, part_px=150).scale == 1
    assert small.decodes == (1,)


def test_what_comes_in_full_when_half_is_asked_for_is_not_decoded_again():
    content = bytes_of(lopsided(2000, 1500), "JPEG")
    photo = photo_from("p.jpg", content[:-2] + b"\x37" * 5 + content[-2:])  # stray bytes
    photo.overview()
    assert photo.window(Box(0, 0, 300, 300), longest=640).scale == 1
    assert photo.decodes == (1,)


@pytest.mark.parametrize("orientation", [1, 6])
def test_a_window_is_as_coarse_as_it_may_be_by_whole_steps(orientation):
    picture = np.asarray(lopsided(640, 480)).copy()
    picture[100, 201] = 255
    photo = photo_of(Image.fromarray(picture), exif=turned(orientation))
    box = Box(0, 0, *photo.size)
    fine, coarse = photo.window(box, longest=320), photo.window(box, longest=320, block_px=5.0)
    assert (fine.coarser, coarse.coarser) == (1, 2)  # of steps of 2: 4 is nearer to 5 than 6 is
    height, width = coarse.clipped.shape
    blocks = fine.linear.reshape(height, 2, width, 2, 3)
    np.testing.assert_allclose(coarse.linear, blocks.mean(axis=(1, 3)), atol=1e-6)
    burnt = fine.clipped.reshape(height, 2, width, 2).any(axis=(1, 3))
    assert burnt.any()
    np.testing.assert_array_equal(coarse.clipped, burnt)
