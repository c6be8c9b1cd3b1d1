"""Smoothing inside a part is OpenCV's Gaussian of the part alone."""

import cv2
import numpy as np
import pytest

from tipvision.measure.smooth import LEAST_SIGMA, smooth_inside


def reference(values: np.ndarray, mask: np.ndarray, sigma: float) -> np.ndarray:
    """Reference library: OpenCV's GaussianBlur of values and of weights."""
    weight = mask.astype(np.float32)
    blurred, total = (cv2.GaussianBlur(p, (0, 0), sigma) for p in (values * weight, weight))
    return np.where(total > 1e-3, blurred / np.maximum(total, 1e-3), values[mask].mean())


@pytest.mark.parametrize("shape", [(1, 1), (1, 30), (7, 40), (90, 61), (130, 120)])
@pytest.mark.parametrize("sigma", [0.1, 2.0, 8.0, 26.0])
def test_it_is_the_gaussian_of_the_masked_pixels(shape, sigma):
    rng = np.random.default_rng(3)
    values, mask = rng.random(shape, np.float32), rng.random(shape) < 0.6
    mask.flat[0] = True
    found = smooth_inside(values, mask, sigma)
    assert found.dtype == np.float32
    expected = reference(values, mask, max(sigma, LEAST_SIGMA))
    np.testing.assert_allclose(found[mask], expected[mask], atol=2e-5)


def test_what_lies_round_the_part_does_not_bleed_in():
    mask = np.zeros((40, 50), bool)
    mask[10:30, 10:40] = True
    values = np.where(mask, 0.25, 100.0).astype(np.float32)
    assert smooth_inside(values, mask, 6.0) == pytest.approx(np.full(mask.shape, 0.25), abs=1e-5)
