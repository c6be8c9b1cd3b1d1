"""The square round a point lies on the sheet that is pointed at."""

import cv2
import numpy as np
import pytest

from tests.light.grey_photo import CARD, GREY, HIGH, WIDE, photo
from tipvision.light.pointed_grey import grey_around


def test_the_square_lies_on_the_card() -> None:
    found = grey_around(photo((CARD, GREY)), (2 * WIDE, 2 * HIGH), (2 * 300.0, 2 * 200.0))
    assert found is not None
    sides = np.linalg.norm(found.quad - np.roll(found.quad, 1, axis=0), axis=1)
    assert sides.min() > 200  # displayed pixels: most of the card
    contour = (2 * CARD).astype(np.float32)
    assert all(
        cv2.pointPolygonTest(contour, tuple(map(float, corner)), False) > 0 for corner in found.quad
    )


@pytest.mark.parametrize("seed", range(5))
def test_noise_holds_no_sheet(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (HIGH, WIDE, 3), np.uint8)
    assert grey_around(noise, (WIDE, HIGH), (400, 300)) is None
