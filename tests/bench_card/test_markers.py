"""Marker patterns, against the finder of the library that defines them."""

import cv2
import numpy as np
import pytest

from tipvision.bench_card.layout import MARKER_MODULES, load_layout
from tipvision.bench_card.markers import marker_modules


@pytest.mark.parametrize("marker_id", [marker.id for marker in load_layout().markers])
def test_the_pattern_is_read_back_as_its_id(marker_id: int) -> None:
    # reference library: OpenCV, cv2.aruco.ArucoDetector
    modules = marker_modules("DICT_APRILTAG_36h11", marker_id)
    assert modules.shape == (MARKER_MODULES, MARKER_MODULES)
    picture = np.pad(np.where(modules, 0, 255).astype(np.uint8), 2, constant_values=255)
    picture = np.kron(picture, np.ones((10, 10), np.uint8))
    known = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    _, ids, _ = cv2.aruco.ArucoDetector(known).detectMarkers(picture)
    assert np.ravel(ids).tolist() == [marker_id]


def test_the_border_is_black() -> None:
    modules = marker_modules("DICT_APRILTAG_36h11", 20)
    border = np.ones_like(modules)
    border[1:-1, 1:-1] = False
    assert modules[border].all()
    assert not modules.all()
