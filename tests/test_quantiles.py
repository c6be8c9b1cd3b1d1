"""Quantiles and medians are numpy's."""

import numpy as np
import pytest

from tipvision.quantiles import MAD_TO_SD, channel_medians, median, quantiles, spread

SHARES = (0.0, 0.01, 0.1, 0.5, 0.9, 0.995, 1.0)


@pytest.mark.parametrize("count", [1, 2, 3, 10, 1001])
@pytest.mark.parametrize("codes", [5, 10_000])
def test_they_are_those_of_numpy(count, codes):
    rng = np.random.default_rng(count)
    values = (rng.integers(0, codes, count) / codes).astype(np.float32)
    kept = values.copy()
    expected = np.quantile(values.astype(np.float64), SHARES)
    assert quantiles(values, SHARES) == pytest.approx(expected.tolist(), abs=1e-7)
    assert median(values) == pytest.approx(float(np.median(values.astype(np.float64))), abs=1e-7)
    np.testing.assert_array_equal(values, kept)


def test_each_channel_has_its_own_median():
    pixels = np.random.default_rng(0).random((501, 3), np.float32)
    np.testing.assert_allclose(channel_medians(pixels), np.median(pixels, axis=0), rtol=1e-6)


def test_spread_is_the_standard_deviation_of_a_normal_distribution_and_forgets_what_is_far_off():
    values = np.random.default_rng(0).normal(3.0, 2.0, 20_001).astype(np.float32)
    assert spread(values) == pytest.approx(2.0, rel=0.03)
    assert spread(values, median(values)) == spread(values)
    values[:100] = 1e6
    assert spread(values) == pytest.approx(2.0, rel=0.03)
    assert spread(np.array([1, 2, 4], np.float32)) == pytest.approx(MAD_TO_SD)
