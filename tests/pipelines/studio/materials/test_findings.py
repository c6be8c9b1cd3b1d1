"""The colour of a crack and of a fresh break follows their geometry."""

import numpy as np

from pipelines.studio.geometry.damage import broken, crack_distance
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import plug_surfaces
from pipelines.studio.materials.surface import texel_points
from pipelines.studio.plug import FiringEnd, sample_plug


def _nose(plug: FiringEnd) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Points of the texels, and the covers that only a cracked nose has, by matter."""
    parts = plug_parts(plug)
    surface = plug_surfaces(plug, parts)["nose"]
    points = texel_points(parts["nose"], *surface.size)
    return points, {k.matter.name: k.cover for k in surface.layers if k.cover is not None}


def test_soot_lies_on_the_crack_and_chalk_on_the_break_alone() -> None:
    seen = {"crack": 0, "chip": 0}
    for seed in range(40):
        plug = sample_plug(seed, "unused", findings=("cracked",))
        if seen["crack" if plug.crack > 0 else "chip"] > 1:
            continue
        points, covers = _nose(plug)
        if plug.crack > 0:
            distance = crack_distance(plug, points)
            soot = covers["soot"]
            assert soot[distance < 0.02].min() > 0.8
            assert soot[distance > 0.1].max() == 0.0
            seen["crack"] += 1
        if plug.chip > 0:
            fresh = broken(plug, points)
            assert covers["chalk"][fresh == 1].min() > 0.9
            assert covers["chalk"][fresh == 0].max() == 0.0
            seen["chip"] += 1
    assert min(seen.values()) > 0
