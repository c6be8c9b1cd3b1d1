"""Palettes name real matters, differ, and keep reflectance within 0..1."""

import tomllib
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.studio.materials import palettes
from pipelines.studio.materials.palettes import PALETTES, Shelf, sample_palette, tinted
from pipelines.studio.materials.spectra import lab, matter

MATTERS = ("ceramic", "tan", "light_tan", "grey_brown", "off_white", "soot", "oil", "chalk")


def test_every_swap_and_tint_names_a_matter() -> None:
    for palette in PALETTES.values():
        for name in (*palette.use, *palette.use.values(), *palette.tint):
            assert matter(name).name == name


@pytest.mark.parametrize("palette", sorted(PALETTES))
def test_reflectances_stay_within_0_and_1(palette: str) -> None:
    for seed in range(12):
        shelf = Shelf(seed, palette)
        for name in (*MATTERS, "nickel", "plating", "glaze_film"):
            r = shelf(name).reflectance
            assert np.all((r > 0) & (r < 1)), (palette, seed, name)


def test_palettes_differ_by_more_than_the_spread_within_them() -> None:
    def middle(palette: str) -> np.ndarray:
        rows = [[lab(Shelf(s, palette)(n).reflectance) for n in MATTERS] for s in range(10)]
        return np.mean(rows, axis=0)

    middles = {name: middle(name) for name in PALETTES}
    for (a, here), (b, there) in combinations(middles.items(), 2):
        assert np.linalg.norm(here - there, axis=1).max() > 3.0, (a, b)


def test_a_shelf_gives_one_soot_whatever_is_asked_first() -> None:
    one, two = Shelf(5, "clay"), Shelf(5, "clay")
    soot = one("soot")
    two("tan")
    assert np.array_equal(two("soot").reflectance, soot.reflectance)
    assert two("soot").alpha == soot.alpha
    assert one("soot") is soot
    assert not np.array_equal(Shelf(6, "clay")("soot").reflectance, soot.reflectance)


def test_only_allowed_palettes_are_drawn() -> None:
    allowed = {"clay", "slate"}
    assert {sample_palette(s, allowed) for s in range(60)} == allowed
    assert {sample_palette(s) for s in range(200)} == set(PALETTES)
    with pytest.raises(ValueError, match="bench"):
        sample_palette(1, ["cheese"])
    with pytest.raises(ValueError, match="allowed"):
        sample_palette(1, [])
    with pytest.raises(ValueError, match="bench"):
        Shelf(1, "cheese")


@given(st.floats(-2, 2), st.floats(-1, 1), st.floats(-1, 1))
def test_tints_keep_reflectance_within_0_and_1(gain: float, tilt: float, bow: float) -> None:
    r = tinted(matter("tan").reflectance, gain, tilt, bow)
    assert np.all((r > 0) & (r < 1))


def test_a_negative_tilt_reddens() -> None:
    tan = matter("tan").reflectance
    assert lab(tinted(tan, 0.0, -0.3))[1] > lab(tan)[1] + 1


def test_published_patches_are_those_of_the_reference_library() -> None:
    # Reference library: colour-science, first of its measured 24-patch chart spectra by name.
    colour = pytest.importorskip("colour")
    chart = colour.SDS_COLOURCHECKERS[sorted(colour.SDS_COLOURCHECKERS)[0]]
    knots = np.arange(400, 701, 50)
    ours = {
        "patch_brown": "dark skin",
        "patch_white": "white 9.5 (.05 D)",
        "patch_grey_8": "neutral 8 (.23 D)",
        "patch_black": "black 2 (1.5 D)",
    }
    with Path(palettes.__file__).with_name("reflectances.toml").open("rb") as file:
        table = tomllib.load(file)
    for name, patch in ours.items():
        published = np.interp(knots, chart[patch].wavelengths, chart[patch].values)
        assert table[name]["r"] == pytest.approx(published, abs=6e-4), name
