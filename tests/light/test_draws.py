"""The draws are standard normal, independent, and the same every time."""

import numpy as np
import pytest

from tipvision.light.draws import DRAWS, MOST_DIMENSIONS, gaussian_draws

EVERY = range(1, MOST_DIMENSIONS + 1)


@pytest.mark.parametrize("dimensions", EVERY)
def test_mean_and_covariance(dimensions: int) -> None:
    draws = gaussian_draws(dimensions)
    assert draws.shape == (DRAWS, dimensions)
    assert np.abs(draws.mean(axis=0)).max() < 1e-12
    assert np.abs(draws.T @ draws / DRAWS - np.eye(dimensions)).max() < 1e-12


@pytest.mark.parametrize("dimensions", EVERY)
def test_each_dimension_is_bell_shaped(dimensions: int) -> None:
    # Shares of a normal distribution within 1 and 2 standard deviations: 0.683 and 0.954.
    # 64 draws in mirrored pairs come in steps of 1/32; two steps are allowed.
    draws = np.abs(gaussian_draws(dimensions))
    assert np.abs((draws < 1).mean(axis=0) - 0.683).max() <= 2 / 32
    assert np.abs((draws < 2).mean(axis=0) - 0.954).max() <= 2 / 32


def test_each_draw_has_its_mirror_image() -> None:
    draws = gaussian_draws(5)
    assert np.allclose(draws, -draws[::-1], atol=1e-12)


def test_the_same_every_time_and_safe_to_share() -> None:
    first = gaussian_draws(3).copy()
    gaussian_draws.cache_clear()
    again = gaussian_draws(3)
    assert (first == again).all()
    with pytest.raises(ValueError, match="read-only"):
        again[0, 0] = 9.0


@pytest.mark.parametrize("dimensions", [0, MOST_DIMENSIONS + 1])
def test_too_few_or_too_many_dimensions(dimensions: int) -> None:
    with pytest.raises(ValueError, match="dimensions"):
        gaussian_draws(dimensions)
