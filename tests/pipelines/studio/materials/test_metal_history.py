"""Soot, varnish and plating on metal, whatever the nose tells."""

from dataclasses import replace

import numpy as np

from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import plug_surfaces
from pipelines.studio.materials.surface import mixed
from pipelines.studio.plug import sample_plug

BANDS = np.array([2, 8, 12])


def _seen(seed: int, condition: str, metal: str) -> dict[str, np.ndarray]:
    """Reflectance at 440, 560 and 640 nm of nose and of the metal of shell and strap, by part."""
    plug = replace(sample_plug(seed, condition), metal=metal)  # type: ignore[arg-type]
    parts = {k: v for k, v in plug_parts(plug).items() if k in ("nose", "shell", "strap")}
    out = {}
    for name, surface in plug_surfaces(plug, parts).items():
        body, mirrored = mixed(surface, BANDS)
        out[name] = body + mirrored
        if name == "shell":
            assert surface.points is not None
            out["rim"] = out[name][surface.points[..., 2] > -0.5]
    return out


def test_no_metal_touches_the_nose() -> None:
    for metal in ("sooty", "clean"):
        new, plain = (_seen(3, "normal", m)["nose"] for m in (metal, "plain"))
        assert (new == plain).all(), metal


def test_a_sooty_rim_is_darker_and_a_clean_one_brighter() -> None:
    sooty, plain, clean = (_seen(2, "normal", m) for m in ("sooty", "plain", "clean"))
    assert sooty["rim"].mean() < plain["rim"].mean() < clean["rim"].mean()
    assert sooty["strap"].mean() < plain["strap"].mean() < clean["strap"].mean()


def test_new_shells_come_black_and_yellow_with_bare_straps() -> None:
    plain, black, yellow = (_seen(5, "unused", m) for m in ("plain", "blackened", "yellow"))
    assert black["shell"].mean() < 0.5 * plain["shell"].mean()
    blue, _, red = yellow["shell"].mean(axis=(0, 1))
    assert blue < 0.75 * red
    assert (black["strap"] == plain["strap"]).all() and (yellow["strap"] == plain["strap"]).all()
