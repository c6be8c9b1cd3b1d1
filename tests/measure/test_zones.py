"""Zones cover the nose once, in equal parts, and few of them when it is small."""

import numpy as np
import pytest

from tipvision.measure.zones import LEAST_PIXELS, MOST_ZONES, zone_means, zones_of


def disc(radius: float, hole: float = 0.0) -> np.ndarray:
    y, x = np.mgrid[-radius - 2 : radius + 3, -radius - 2 : radius + 3]
    return (np.hypot(x, y) <= radius) & (np.hypot(x, y) >= hole)


@pytest.mark.parametrize("radius", [5, 12, 30, 150])
def test_every_pixel_of_the_nose_has_one_zone_and_no_other_has(radius):
    nose = disc(radius, hole=radius / 3)
    zones = zones_of(nose)
    np.testing.assert_array_equal(zones >= 0, nose)
    assert zones.max() < MOST_ZONES
    counts = np.bincount(zones[nose])
    assert counts.min() >= LEAST_PIXELS
    assert counts.max() < 3 * counts.min()


def test_a_larger_nose_has_more_zones_up_to_the_limit():
    numbers = [len(np.unique(zones_of(disc(r)))) - 1 for r in (4, 10, 20, 40, 200)]
    assert numbers == sorted(numbers)
    assert numbers[0] < 4
    assert numbers[-1] == MOST_ZONES


def test_nothing_has_no_zones():
    nothing = np.zeros((9, 9), bool)
    assert (zones_of(nothing) == -1).all()
    means, shares = zone_means(np.zeros((9, 9, 3), np.float32), zones_of(nothing))
    assert means.shape == (0, 3)
    assert shares.shape == (0,)


def test_means_are_those_of_each_zone_and_shares_sum_to_one():
    nose = disc(60)
    zones = zones_of(nose)
    linear = np.where(nose, 0.1 + 0.01 * zones, 9.0)[..., None].repeat(3, axis=2)
    means, shares = zone_means(linear.astype(np.float32), zones)
    np.testing.assert_allclose(means[:, 1], 0.1 + 0.01 * np.arange(len(means)), atol=1e-6)
    assert shares.sum() == pytest.approx(1)


def test_a_tenth_of_stray_pixels_does_not_move_a_zone():
    nose = disc(60)
    linear = np.full((*nose.shape, 3), 0.3, np.float32)
    rng = np.random.default_rng(5)
    linear[rng.random(nose.shape) < 0.04] = 1.0
    linear[rng.random(nose.shape) < 0.04] = 0.0
    means, _ = zone_means(linear, zones_of(nose))
    np.testing.assert_allclose(means, 0.3, atol=0.02)
