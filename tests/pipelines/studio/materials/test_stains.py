"""Stains: covers, repeatable, different from sheet to sheet, and of several scales."""

import numpy as np

from pipelines.studio.geometry.sheet import plane
from pipelines.studio.materials.stains import stains, warped
from pipelines.studio.materials.surface import texel_points

POINTS = texel_points(plane(300.0, 300.0), 240, 240)


def _stains(seed: int) -> np.ndarray:
    return stains(POINTS, seed, 30.0, np.random.default_rng(seed))


def test_stains_are_covers_and_leave_most_of_the_sheet() -> None:
    shares = []
    for seed in range(12):
        cover = _stains(seed)
        assert cover.shape == POINTS.shape[:2]
        assert cover.min() >= 0 and cover.max() <= 1
        shares.append(float(cover.mean()))
    assert np.array_equal(_stains(3), _stains(3))
    assert max(shares) < 0.5
    # Some sheets are near clean, others well used.
    assert min(shares) < 0.03 and max(shares) > 0.08


def test_no_one_size_of_mark_rules() -> None:
    # A single octave has most of its power within a factor of two of one frequency.
    total = np.zeros(120)
    for seed in range(12):
        cover = _stains(seed)
        power = np.abs(np.fft.fft2(cover - cover.mean())) ** 2
        fy, fx = np.meshgrid(*(np.fft.fftfreq(240, 300 / 240),) * 2, indexing="ij")
        ring = (np.hypot(fx, fy) * 300).astype(int)
        total += np.bincount(ring.ravel(), power.ravel(), 200)[:120]
    octaves = [total[1 << k : 2 << k].sum() / total[1:].sum() for k in range(6)]
    assert max(octaves) < 0.6
    assert sum(o > 0.04 for o in octaves) >= 3


def test_warping_moves_points_but_not_out_of_the_sheet() -> None:
    away = np.linalg.norm(warped(POINTS, 2, 20.0, 0.5) - POINTS, axis=-1)
    assert away.mean() > 0.5 and away.max() < 30.0
