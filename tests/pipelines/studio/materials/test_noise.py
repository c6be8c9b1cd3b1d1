"""Solid noise is smooth, differs by seed and covers what it should."""

import numpy as np

from pipelines.studio.materials.noise import fractal, patches, value_noise

_LINE = np.stack([np.linspace(-40, 40, 4001), np.full(4001, 0.3), np.full(4001, -7.7)], -1)


def test_noise_is_smooth_and_within_its_range() -> None:
    values = value_noise(_LINE, 3)
    assert np.abs(values).max() <= 1.0
    # One feature a unit: the quintic's slope is at most 1.875 · 2 for steps of 0.02.
    assert np.abs(np.diff(values)).max() < 0.02 * 1.875 * 2 + 1e-3
    assert values.std() > 0.2


def test_seeds_give_other_noise_and_the_same_seed_the_same() -> None:
    a, b = value_noise(_LINE, 3), value_noise(_LINE, 4)
    assert np.array_equal(a, value_noise(_LINE, 3))
    assert abs(np.corrcoef(a, b)[0, 1]) < 0.4


def test_noise_does_not_come_round_on_a_plug() -> None:
    # The finest grain on a nose is 0.09 mm: 64 features are 5.8 mm, its whole width.
    far = _LINE + np.array([32.0, 0.0, 0.0])
    assert abs(np.corrcoef(value_noise(_LINE, 3), value_noise(far, 3))[0, 1]) < 0.4


def test_noise_does_not_depend_on_how_points_are_arranged() -> None:
    rng = np.random.default_rng(1)
    points = rng.uniform(-5, 5, (160, 130, 3))
    order = rng.permutation(160 * 130)
    flat = fractal(points.reshape(-1, 3)[order], 7)
    assert np.array_equal(fractal(points, 7).ravel()[order], flat)


def test_patches_take_no_and_full_share() -> None:
    points = np.random.default_rng(1).uniform(-5, 5, (30, 30, 3))
    assert patches(points, 1, 0.0, 0.1).max() == 0
    assert patches(points, 1, 1.0, 0.1).min() == 1
