"""Points go where the reference library puts them, by one homography and by several at once."""

import cv2
import numpy as np

from tipvision.light.homography import project


def test_points_go_where_opencv_puts_them() -> None:
    rng = np.random.default_rng(4)
    several = np.eye(3) + 0.2 * rng.standard_normal((2, 5, 3, 3)) * [1, 1, 10]
    several[..., 2, :2] *= 0.01
    points = rng.uniform(-20, 20, (7, 2))
    mapped = project(several, points)
    assert mapped.shape == (2, 5, 7, 2)
    for place in np.ndindex(2, 5):
        # reference library: OpenCV, perspectiveTransform
        expected = cv2.perspectiveTransform(points[None], several[place])[0]
        np.testing.assert_allclose(mapped[place], expected, rtol=1e-9)
        np.testing.assert_array_equal(project(several[place], points), mapped[place])
