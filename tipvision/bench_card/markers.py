"""The pattern of the bench card's markers."""

import numpy as np
from numpy.typing import NDArray

from tipvision.bench_card.layout import MARKER_MODULES


def marker_modules(dictionary: str, marker_id: int) -> NDArray[np.bool_]:
    """The modules of one marker, black border included.

    dictionary: name in `cv2.aruco`, such as "DICT_APRILTAG_36h11".
    Returns bool (8, 8), rows from the top, True where a module is black.
    Source: reference library: OpenCV, `cv2.aruco.generateImageMarker`.
    """
    import cv2

    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    picture = cv2.aruco.generateImageMarker(known, marker_id, MARKER_MODULES)
    return np.asarray(picture) < 128
