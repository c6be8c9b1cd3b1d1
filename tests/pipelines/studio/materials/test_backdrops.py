"""Patterns of benches and cloths: covers in range, repeatable, and of the size asked for."""

import numpy as np
import pytest

from pipelines.studio.geometry.sheet import plane
from pipelines.studio.materials.backdrops import BACKDROPS, backdrop
from pipelines.studio.materials.surface import reflectance, slopes

SHEET = plane(60, 40)


@pytest.mark.parametrize("name", BACKDROPS)
def test_covers_are_shares_and_a_seed_repeats(name: str) -> None:
    surface = backdrop(name, SHEET, 3, 0.5)
    assert surface.size == (80, 120)
    for layer in surface.layers:
        if layer.cover is not None:
            assert layer.cover.shape == (80, 120)
            assert layer.cover.min() >= -1e-9 and layer.cover.max() <= 1 + 1e-9
    assert np.isfinite(slopes(surface)).all()
    again = backdrop(name, SHEET, 3, 0.5)
    uv = np.random.default_rng(1).random((50, 2))
    one = reflectance(surface, uv)
    assert one == pytest.approx(reflectance(again, uv))
    assert one.min() > 0 and one.max() < 0.95


def test_unknown_pattern_is_named() -> None:
    with pytest.raises(KeyError, match="known: wood, steel"):
        backdrop("marble", SHEET, 1)
