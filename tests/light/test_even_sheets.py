"""Even sheets are found by their corners, whole or not at all."""

import cv2
import numpy as np
import pytest

from tipvision.light.even_sheets import even_parts, sheets

QUAD = np.array([[60, 40], [210, 55], [200, 160], [50, 150]])


def steps(*quads) -> np.ndarray:
    """Steps of code, uint8 (200, 300): steep everywhere but on these quadrilaterals."""
    slope = np.full((200, 300), 60, np.uint8)
    for quad in quads:
        cv2.fillConvexPoly(slope, np.int32(quad), 3)
    return slope


def test_corners_and_mask_are_the_sheets() -> None:
    slope = steps(QUAD, QUAD // 4 + [230, 10])
    ((quad, mask),) = sheets(even_parts(slope, 5), least=0.02)  # the other is too small
    np.testing.assert_array_equal(mask, steps(QUAD) == 3)
    for corner in QUAD:
        assert np.linalg.norm(quad - corner, axis=1).min() < 2
    assert len(sheets(even_parts(slope, 5), least=0.002)) == 2


@pytest.mark.parametrize(
    "quad",
    [
        QUAD - [55, 0],  # cut off by the frame
        [[60, 40], [270, 45], [270, 90], [60, 85]],  # too long
        [[60, 40], [250, 100], [60, 160]],  # a triangle
    ],
)
def test_what_is_no_whole_sheet_is_left_out(quad) -> None:
    assert sheets(even_parts(steps(quad), 5), least=0.02) == []


def test_a_torn_edge_is_not_straight() -> None:
    slope = steps(QUAD)
    slope[100:125, 40:90] = 60
    assert sheets(even_parts(slope, 5), least=0.02) == []


def test_what_is_not_even_enough_is_no_part() -> None:
    assert not even_parts(steps(QUAD), 3).any()
