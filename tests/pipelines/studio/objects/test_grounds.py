"""Grounds: all named ones can be made, reach far enough and lie at the level of things."""

import numpy as np
import pytest

from pipelines.studio.objects.grounds import GROUNDS, ground


@pytest.mark.parametrize("name", GROUNDS)
def test_a_ground_fills_its_reach_at_level_zero(name: str) -> None:
    made = ground(name, 3, 120.0)
    every = np.concatenate([mesh.vertices for _, mesh, _ in made.pieces])
    assert np.abs(every[:, :2]).max() >= 119
    middle = made.pieces[0][1].vertices
    if name == "white sweep":
        middle = middle[middle[:, 1] < 80]
    # Stones, folds and the tray's depth below it are a few mm; nothing towers over the middle.
    assert middle[:, 2].max() < 12
    assert middle[:, 2].max() > -12
    assert len({n for n, _, _ in made.pieces}) == len(made.pieces)


def test_enough_of_them_to_hold_some_out() -> None:
    assert len(GROUNDS) >= 24
    assert sum(ground(n, 1, 80.0).littered for n in GROUNDS if n.startswith("clutter")) == 4
    with pytest.raises(KeyError, match="known: bench wood"):
        ground("moon", 1, 100.0)
