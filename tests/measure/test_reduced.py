"""Measuring works at one scale, whatever the size of the window."""

import numpy as np
import pytest

from tipvision.measure.reduced import WORKED_PX, close_up, nose_in, reduced, width_of
from tipvision.photo.photo import Window
from tipvision.tip.tip import Part


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
