"""A photo made smaller keeps its light and its form."""

import numpy as np
import pytest

from tipvision.light.smaller import blocks, smaller


def picture(height: int, width: int) -> np.ndarray:
    y, x = np.mgrid[:height, :width]
    ramp = 200 * (x / width + y / height) / 2
    return np.stack([ramp, ramp / 2, 200 - ramp], axis=-1).astype(np.uint8)


@pytest.mark.parametrize("step", [1, 2, 4])
def test_a_pixel_is_the_mean_of_its_block(step):
    seen = picture(41, 50)
    whole = seen[: 41 // step * step, : 50 // step * step].astype(float)
    means = whole.reshape(41 // step, step, 50 // step, step, 3).mean(axis=(1, 3))
    np.testing.assert_allclose(blocks(seen, step), means, atol=0.51)


def test_what_is_smaller_than_a_block_becomes_one_pixel():
    assert blocks(picture(3, 30), 8).shape == (1, 3, 3)


@pytest.mark.parametrize("size", [(768, 1024), (1000, 751), (449, 100), (64, 2000)])
def test_the_longer_side_is_as_asked_for_and_the_light_stays(size):
    seen = picture(*size)
    small = smaller(seen, 448)
    assert max(small.shape[:2]) == 448
    assert small.shape[0] / small.shape[1] == pytest.approx(size[0] / size[1], rel=0.1)
    np.testing.assert_allclose(small.mean(axis=(0, 1)), seen.mean(axis=(0, 1)), atol=1.0)


def test_a_small_picture_is_left_as_it_is():
    seen = picture(90, 120)
    np.testing.assert_array_equal(smaller(seen, 448), seen)
