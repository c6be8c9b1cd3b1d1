"""The room round the bench: of mean one, with edges, bright and dark places, and no seam."""

import inspect

import numpy as np
import pytest

from pipelines.studio.lights.lamps import COLUMNS, ROWS, room_glow


def _weights() -> np.ndarray:
    """Solid angle of each place on the walls; they sum to 1."""
    theta = (np.arange(ROWS) + 0.5) / ROWS * np.pi
    w = np.repeat(np.sin(theta)[:, None], COLUMNS, 1)
    return w / w.sum()


def test_the_room_has_mean_one_and_repeats() -> None:
    for seed in range(5):
        glow = room_glow(seed)
        assert glow.shape == (ROWS, COLUMNS)
        assert (glow * _weights()).sum() == pytest.approx(1.0)
        assert np.array_equal(glow, room_glow(seed))
        assert not np.array_equal(glow, room_glow(seed + 100))


def test_metal_finds_dark_and_bright_places_with_edges_between_them() -> None:
    weights = _weights()
    for seed in range(8):
        glow = room_glow(seed)
        dark = float(weights[glow < 0.3].sum())
        assert dark > 0.05, seed
        assert 2.5 < glow.max() < 12, seed
        # Variance of one path that ends on the wall: more would speckle pictures of few paths.
        assert float((weights * glow**2).sum()) - 1 < 1.3, seed
        steps = np.abs(np.diff(np.log(glow), axis=1))
        assert (steps > np.log(3)).sum() > 40, seed


def test_the_room_has_no_seam_where_its_columns_meet() -> None:
    seam, inside = [], []
    for seed in range(30):
        glow = np.log(room_glow(seed))
        seam.append(np.abs(glow[:, 0] - glow[:, -1]).mean())
        inside.append(np.abs(np.diff(glow, axis=1)).mean())
    assert np.mean(seam) < 2 * np.mean(inside)


def test_the_room_knows_nothing_but_its_seed() -> None:
    assert set(inspect.signature(room_glow).parameters) == {"seed"}
