"""The samples carry the doubt that was asked for, and no other."""

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction
from tipvision.light.doubt import doubtful, recast

CORRECTION = np.array([[0.4, 0.3, 0.2], [0.2, 0.7, 0.1], [0.0, 0.1, 0.9]])


def ln_gains(samples: np.ndarray) -> np.ndarray:
    """ln of the gain (n, 3) of each channel."""
    return np.log((samples / np.where(CORRECTION == 0, np.nan, CORRECTION))[:, 1])


@pytest.mark.parametrize(("cast", "exposure"), [(0.12, 0.45), (0.05, 0.0), (0.0, 0.3)])
def test_spread_of_cast_and_exposure(cast: float, exposure: float) -> None:
    samples = doubtful(CORRECTION, cast, exposure).matrix
    assert samples.shape == (64, 3, 3)
    red, green, blue = ln_gains(samples).T
    assert green.std() == pytest.approx(exposure, abs=1e-9)
    assert (red - green).std() == pytest.approx(cast, abs=1e-9)
    assert (blue - green).std() == pytest.approx(cast, abs=1e-9)
    assert np.mean((red - green) * (blue - green)) == pytest.approx(0.0, abs=1e-9)
    assert np.abs(ln_gains(samples).mean(axis=0)).max() < 1e-9


def test_without_doubt_every_sample_is_the_correction() -> None:
    assert np.allclose(doubtful(CORRECTION, 0.0, 0.0).matrix, CORRECTION, atol=1e-15)


def test_a_channel_is_scaled_as_a_whole() -> None:
    samples = doubtful(CORRECTION, 0.12, 0.45).matrix
    assert np.allclose(samples[:, 0, 1] / samples[:, 1, 1], 0.3 / 0.7)
    assert (samples[:, 2, 0] == 0).all()


@pytest.mark.parametrize("degree", [1, 2])
def test_recasting_scales_red_green_and_blue_of_the_result(degree: int) -> None:
    rng = np.random.default_rng(3)
    samples = Correction(rng.uniform(0.1, 0.4, (5, 3, 3 * degree)), degree)
    ln_gains = rng.normal(0, 0.2, (5, 3))
    rgb = np.array([0.3, 0.2, 0.1])
    before = np.linalg.solve(RGB_TO_XYZ, samples.xyz(rgb).T).T
    after = np.linalg.solve(RGB_TO_XYZ, recast(samples, ln_gains).xyz(rgb).T).T
    assert after == pytest.approx(np.exp(ln_gains) * before)
