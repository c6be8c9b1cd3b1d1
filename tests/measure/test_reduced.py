"""Measuring works at one scale, whatever the size of the window."""

import numpy as np
import pytest

from tests.photo.pictures import bytes_of, lopsided
from tipvision.measure.reduced import (
    LONGEST_WINDOW,
    WORKED_PX,
    close_up,
    nose_in,
    reduced,
    width_of,
    window_on,
)
from tipvision.photo.box import Box
from tipvision.photo.photo import Window, photo_from
from tipvision.tip.tip import Part, Tip


def plug(side: int) -> tuple[Window, np.ndarray]:
    labels = np.zeros((side, side), np.uint8)
    labels[side // 8 : -side // 8, side // 8 : -side // 8] = Part.NOSE
    linear = np.where((labels == Part.NOSE)[..., None], 0.4, 0.1) * np.ones(3)
    return Window(linear.astype(np.float32), labels == Part.ELECTRODE), labels


@pytest.mark.parametrize("side", [100, 333, 640])
def test_a_large_nose_is_brought_to_about_one_width_and_a_small_one_left(side):
    window, labels = plug(side)
    small, own, nose, across = reduced(window, labels)
    assert own.shape == small.clipped.shape == nose.shape == small.linear.shape[:2]
    assert across <= 1.5 * WORKED_PX
    assert across == pytest.approx(width_of(nose_in(labels)) / (side // own.shape[0]), abs=1.5)
    assert small.linear[nose].mean() == pytest.approx(0.4, abs=0.02)


def test_a_pixel_is_clipped_where_any_part_of_it_was():
    window, labels = plug(640)
    window.clipped[320, 321] = True
    small, *_ = reduced(window, labels)
    assert small.clipped.sum() == 1


def test_the_close_up_holds_the_nose_and_no_more():
    _, labels = plug(80)
    rows, columns = close_up(nose_in(labels))
    assert (rows, columns) == (slice(10, 70), slice(10, 70))
    assert close_up(np.zeros((4, 4), bool)) == (slice(None), slice(None))


@pytest.mark.parametrize("side", [200, 640, 1500])
def test_a_window_on_a_tip_is_what_the_full_one_would_be_reduced_to(side):
    photo = photo_from("p.png", bytes_of(lopsided(1600, 1600), "PNG"))
    _, labels = plug(256)
    tip = Tip(Box(40, 60, 40 + side, 60 + side), labels, (), 0.75 * side, "oblique", 1.0)
    window, full = window_on(photo, tip), photo.window(tip.box, LONGEST_WINDOW)
    assert max(window.clipped.shape) <= max(full.clipped.shape)
    one, own, _, _ = reduced(window, labels)
    other, expected, _, _ = reduced(full, labels)
    np.testing.assert_allclose(one.linear, other.linear, atol=1e-6)
    np.testing.assert_array_equal(one.clipped, other.clipped)
    assert (own != expected).mean() < 0.01  # a row or column less where steps leave a rest
