"""Raw photos are developed into linear light, alike whatever else is in them."""

import numpy as np
import pytest

from tests.photo.pictures import dng
from tipvision.photo import memory
from tipvision.photo.box import Box
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import photo_from

COLOUR = (0.2, 0.1, 0.05)


def flat(height: int = 60, width: int = 80) -> np.ndarray:
    return np.full((height, width, 3), COLOUR)


def test_what_the_sensor_saw_comes_back_as_linear_srgb():
    linear = photo_from("p.dng", dng(flat())).window(Box(10, 10, 70, 50), 100).linear
    np.testing.assert_allclose(linear, np.broadcast_to(COLOUR, linear.shape), atol=2e-4)


def test_the_camera_s_white_balance_is_used():
    content = dng(flat() * (0.5, 1, 0.8), neutral=(0.5, 1, 0.8))
    linear = photo_from("p.dng", content).window(Box(10, 10, 70, 50), 100).linear
    np.testing.assert_allclose(linear, np.broadcast_to(COLOUR, linear.shape), atol=4e-4)


def test_what_else_is_in_the_picture_brightens_nothing():
    scene = flat()
    scene[:, 60:] = 0.6
    scene[:20, 60:] = 0.9
    linear = photo_from("p.dng", dng(scene)).window(Box(5, 5, 50, 50), 100).linear
    np.testing.assert_allclose(linear, np.broadcast_to(COLOUR, linear.shape), atol=2e-4)


def test_a_full_sensor_pixel_counts_as_clipped():
    scene = flat()
    scene[:, 40:, 0] = 1.0
    window = photo_from("p.dng", dng(scene)).window(Box(0, 0, 80, 60), 100)
    assert window.clipped[5:-5, 45:-5].all() and not window.clipped[5:-5, 5:35].any()


def test_the_overview_is_the_same_light_encoded():
    overview = photo_from("p.dng", dng(flat())).overview()
    expected = 255 * (1.055 * np.array(COLOUR) ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    inner = overview[10:-10, 10:-10]
    np.testing.assert_allclose(inner, np.broadcast_to(expected, inner.shape), atol=0.6)


def test_a_large_raw_photo_is_read_from_groups_of_four(monkeypatch):
    content = dng(flat(1200, 1800))
    photo = photo_from("p.dng", content)
    box = Box(100, 100, 700, 500)
    photo.overview()
    assert photo.window(box, 1000, part_px=200).scale == 2 and photo.decodes == (2,)
    assert photo.window(box, 1000).scale == 1 and photo.decodes == (2, 1)
    np.testing.assert_allclose(photo.window(box, 1000, 200).linear[50, 50], COLOUR, atol=2e-4)
    monkeypatch.setattr(memory, "MOST_MEMORY", 20_000_000)
    tight = photo_from("p.dng", content)
    assert tight.window(box, 1000).scale == 2  # the whole would not fit: half scale serves for all


def test_what_a_raw_photo_takes_is_bounded(monkeypatch):
    monkeypatch.setattr(memory, "MOST_MEMORY", 10_000)
    with pytest.raises(PhotoFault, match="A DNG picture of 0 megapixels takes too much memory"):
        photo_from("p.dng", dng(flat()))
