"""Squares cut from a picture show each place where it belongs."""

import numpy as np
import pytest

from tipvision.tip.square import GREY, square_view


def slopes(w: int, h: int) -> np.ndarray:
    """Red rises by 1 a pixel to the right, green by 1 a pixel down."""
    y, x = np.mgrid[0:h, 0:w]
    return np.stack([x, y, np.zeros_like(x)], axis=2).astype(np.uint8)


@pytest.mark.parametrize("side", [20.0, 64.0, 200.0])
def test_every_pixel_of_the_view_shows_its_place(side: float) -> None:
    view = square_view(slopes(240, 230), (120.0, 110.0), side, 64)
    at = (np.arange(64) + 0.5) / 64 * side
    near = slice(2, -2)
    x, y = view[..., 0].astype(float), view[..., 1].astype(float)
    assert np.abs(x - (at + 120 - side / 2 - 0.5))[:, near].max() <= 1.0
    assert np.abs(y - (at + 110 - side / 2 - 0.5)[:, None])[near].max() <= 1.0


def test_a_square_in_place_is_the_picture_itself() -> None:
    picture = slopes(100, 90)
    assert (square_view(picture, (50.0, 40.0), 32.0, 32) == picture[24:56, 34:66]).all()


def test_outside_the_picture_it_is_grey() -> None:
    view = square_view(np.full((40, 80, 3), 255, np.uint8), (40.0, 20.0), 80.0, 64)
    assert (view[:15] == GREY).all()
    assert (view[17:47] == 255).all()
    assert (view[49:] == GREY).all()
    assert (square_view(view, (-500.0, 3.0), 20.0, 8) == GREY).all()


def test_where_it_is_reduced_pixels_are_averaged() -> None:
    picture = np.zeros((256, 256, 3), np.uint8)
    picture[::2] = 200
    assert square_view(picture, (128.0, 128.0), 256.0, 32)[2:-2, 2:-2] == pytest.approx(100, abs=1)
