"""Every condition and finding has its surface, and looks as the trade describes it."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.geometry.mesh import Mesh
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import TEXELS, plug_surfaces
from pipelines.studio.materials.findings import FINDINGS
from pipelines.studio.materials.palettes import PALETTES
from pipelines.studio.materials.place import Place
from pipelines.studio.materials.spectra import lab
from pipelines.studio.materials.surface import (
    Surface,
    detail,
    mean_reflectance,
    mixed,
    reflectance,
    texel_points,
    wet_share,
)
from pipelines.studio.plug import CONDITIONS, FiringEnd, sample_plug
from pipelines.studio.plug import FINDINGS as KNOWN_FINDINGS

SHOWN = ("nose", "electrode", "strap", "shell")


def _surfaces(
    plug: FiringEnd,
    findings: tuple[str, ...] = (),
    palette: str | None = None,
    shares: dict[str, float] | None = None,
    only: tuple[str, ...] = ("nose",),
) -> dict[str, Surface]:
    parts = {name: mesh for name, mesh in plug_parts(plug).items() if name in only}
    with detail(0.3):
        return plug_surfaces(plug, parts, findings=findings, palette=palette, shares=shares)


def _uv(plug: FiringEnd) -> np.ndarray:
    """Places on the nose that shows, as many as its area asks for."""
    mesh = plug_parts(plug)["nose"]
    nose = Place(plug, "nose", texel_points(mesh, 90, 60), 0)
    weight = nose.visible / nose.visible.sum()
    at = np.random.default_rng(1).choice(weight.size, 3000, p=weight.ravel())
    return np.stack([(at % 60 + 0.5) / 60, (at // 60 + 0.5) / 90], 1)


def _lab(plug: FiringEnd, **options: object) -> np.ndarray:
    nose = _surfaces(plug, **options)["nose"]  # type: ignore[arg-type]
    return lab(mean_reflectance(nose, _uv(plug)))


def _shine(plug: FiringEnd, **options: object) -> float:
    nose = _surfaces(plug, **options)["nose"]  # type: ignore[arg-type]
    return wet_share(nose, _uv(plug))


@pytest.mark.parametrize("condition", CONDITIONS)
def test_all_maps_stay_within_0_and_1_whatever_lies_there(condition: str) -> None:
    plug = sample_plug(4, condition)  # type: ignore[arg-type]
    for name, surface in _surfaces(plug, tuple(FINDINGS), "granite", only=SHOWN).items():
        body, metal = mixed(surface, np.arange(16))
        assert np.all(body >= 0) and np.all(metal >= 0), name
        assert np.all(body + metal < 1.0), name
        for layer in surface.layers:
            if layer.cover is not None:
                assert layer.cover.min() >= 0 and layer.cover.max() <= 1 + 1e-6, layer.matter.name
            if layer.film is not None:
                assert layer.film.min() >= 0, layer.matter.name


def test_conditions_have_their_colours() -> None:
    for seed in (1, 2, 3):
        tan = _lab(sample_plug(seed, "normal"))
        assert 45 < tan[0] < 80 and tan[2] > 10, seed
        for black in ("dry_black", "wet_black"):
            assert _lab(sample_plug(seed, black))[0] < 40, (seed, black)
        for white in ("chalk_white", "unused"):
            assert _lab(sample_plug(seed, white))[0] > 85, (seed, white)


def test_pale_normal_is_off_white_to_light_grey() -> None:
    found = np.array([_lab(replace(sample_plug(s, "normal"), pale=True)) for s in range(8)])
    assert found[:, 0].min() > 68 and found[:, 0].max() < 93
    assert np.abs(found[:, 1]).max() < 5
    assert found[:, 2].max() < 16


def test_dry_and_wet_black_share_colours_and_part_by_shine() -> None:
    dry = [sample_plug(s, "dry_black") for s in range(12)]
    wet = [sample_plug(s, "wet_black") for s in range(12)]
    light_dry, light_wet = ([_lab(p)[0] for p in plugs] for plugs in (dry, wet))
    # The ranges overlap so far that neither middle lies outside the other's range.
    assert min(light_wet) < np.median(light_dry) < max(light_wet)
    assert min(light_dry) < np.median(light_wet) < max(light_dry)
    assert max(_shine(p) for p in dry) < 0.05
    assert min(_shine(p) for p in wet) > 0.5


def test_the_studio_has_every_finding_of_the_plug() -> None:
    assert set(FINDINGS) == set(KNOWN_FINDINGS)


CHANGES_SURFACE = tuple(
    f for f in FINDINGS if f not in ("bridged", "worn", "mechanical", "cracked")
)


@pytest.mark.parametrize("finding", CHANGES_SURFACE)
def test_a_finding_shows_on_the_nose(finding: str) -> None:
    plug = sample_plug(9, "normal")
    before, after = (mixed(_surfaces(plug, f)["nose"], np.arange(16))[0] for f in ((), (finding,)))
    changed = np.abs(after - before).max(-1) > 0.02
    assert changed.mean() > 0.003


def test_findings_have_their_looks() -> None:
    plug = sample_plug(9, "unused")
    plain = _lab(plug)
    assert _shine(plug, findings=("fuel_wet",)) > 0.5
    assert _shine(plug, findings=("glazed",)) > 0.5
    assert _shine(plug, findings=("dust",)) > 0.4
    assert _lab(plug, findings=("glazed",))[2] > plain[2] + 8
    assert _lab(plug, findings=("coloured",))[1] > plain[1] + 5
    assert _lab(plug, findings=("fuel_wet",))[0] < plain[0] - 8
    crust = _surfaces(plug, ("ash",))["nose"].swell
    assert crust is not None and crust.max() > 0.05


def test_a_finding_alone_needs_no_condition() -> None:
    plug = sample_plug(3, None, findings=("ash",))
    colour = _lab(plug)
    assert 50 < colour[0] < 92


def test_shares_move_the_colour_step_by_step() -> None:
    plug = sample_plug(12, "normal")
    light = [
        _lab(plug, shares={"normal": 1 - s, "dry_black": s} if s else {"normal": 1.0})[0]
        for s in (0.0, 0.25, 0.5, 0.75)
    ]
    assert np.all(np.diff(light) < -1)


def test_palettes_and_seeds_change_the_colour_and_the_same_ones_do_not() -> None:
    plug = sample_plug(12, "normal")
    labs = {p: _lab(plug, palette=p) for p in PALETTES}
    assert np.ptp([v[0] for v in labs.values()]) > 4
    assert np.array_equal(_lab(plug, palette="clay"), labs["clay"])
    assert not np.array_equal(_lab(sample_plug(13, "normal")), labs["bench"])


def test_the_roughness_differs_from_plug_to_plug() -> None:
    alphas = {_surfaces(sample_plug(s, "unused"))["nose"].layers[0].matter.alpha for s in range(8)}
    assert len(alphas) == 8


def test_straps_are_all_straps() -> None:
    plug = sample_plug(2, "normal")
    strap = plug_parts(plug)["strap"]
    both = plug_surfaces(plug, {"nose": plug_parts(plug)["nose"], "strap_1": strap, "strap": strap})
    assert both["strap_1"].size == both["strap"].size == TEXELS["strap"]


def test_a_mesh_without_a_grid_gets_uniform_layers() -> None:
    plug = sample_plug(2, "dry_black")
    nose, strap = plug_parts(plug)["nose"], plug_parts(plug)["strap"]
    loose = Mesh(strap.vertices, strap.faces, strap.uv)
    surface = plug_surfaces(plug, {"nose": nose, "strap": loose})["strap"]
    assert surface.size == (2, 2)
    assert lab(reflectance(surface, np.array([[0.5, 0.5]])))[0, 0] < 50


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"findings": ("cheese",)}, "fuel_wet"),
        ({"shares": {"normal": 0.5}}, "sum to 1"),
        ({"shares": {"cheese": 1.0}}, "chalk_white"),
        ({"palette": "cheese"}, "bench"),
    ],
)
def test_unknown_names_are_refused(options: dict[str, object], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        _surfaces(sample_plug(2, "normal"), **options)  # type: ignore[arg-type]


def test_an_unknown_part_is_refused() -> None:
    plug = sample_plug(2, "normal")
    parts = plug_parts(plug)
    with pytest.raises(ValueError, match="wing"):
        plug_surfaces(plug, {"nose": parts["nose"], "wing": parts["strap"]})
