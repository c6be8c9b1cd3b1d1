"""What use leaves on parts: some clean, some dirty, rust on metal alone, repeatable."""

import numpy as np

from pipelines.studio.objects.grime import CLEAN, surfaces
from pipelines.studio.objects.parts import pieces


def test_some_parts_are_clean_and_others_dirty() -> None:
    made = pieces("stacked tins", 1)
    dirty = [any(len(s.layers) > 1 for s in surfaces(made, seed, 16)) for seed in range(150)]
    assert abs(np.mean(dirty) - (1 - CLEAN)) < 0.13


def test_rust_comes_on_metal_alone_and_covers_are_shares() -> None:
    for name in ("rubber bush", "tube", "ball bearing"):
        for seed in range(40):
            made = pieces(name, seed)
            for (_, _, metal), surface in zip(made, surfaces(made, seed, 16), strict=True):
                assert surface.layers[0].matter.name == metal
                for layer in surface.layers[1:]:
                    assert layer.cover is not None
                    assert layer.cover.min() >= 0 and layer.cover.max() <= 1
                    if metal in ("rubber", "plastic_black"):
                        assert layer.matter.name not in ("rust", "oxide")


def test_a_seed_repeats() -> None:
    made = pieces("piston", 3)
    for one, again in zip(surfaces(made, 7, 16), surfaces(made, 7, 16), strict=True):
        assert [lay.matter.name for lay in one.layers] == [lay.matter.name for lay in again.layers]
        for a, b in zip(one.layers, again.layers, strict=True):
            assert a.cover is None or np.array_equal(a.cover, b.cover)
