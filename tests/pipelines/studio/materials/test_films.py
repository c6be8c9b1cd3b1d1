"""Thin deposits: Kubelka and Munk's law, and what it makes of soot on ceramic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.studio.materials.films import (
    PASSES,
    absorption,
    looked_up,
    over,
    thick_reflectance,
    thickness_of,
    two_flux,
)
from pipelines.studio.materials.spectra import WAVELENGTHS, lab, matter

THICKNESSES = np.linspace(0.0, 3.0, 25)


def _green(r: np.ndarray) -> float:
    return float(np.interp(550.0, WAVELENGTHS, r))


def _coated(film: str, ground: str, thickness: np.ndarray) -> np.ndarray:
    r = matter(film).reflectance
    return over(*two_flux(r, _green(r), thickness), matter(ground).reflectance)


@given(st.floats(0.005, 0.98))
def test_absorption_ratio_and_reflectance_are_inverse(r: float) -> None:
    assert float(thick_reflectance(absorption(r))) == pytest.approx(r, rel=1e-6)


def test_two_flux_obeys_its_differential_equations() -> None:
    # Kubelka and Munk: dR/dx = S − 2(K+S)R + SR², dT/dx = −(K+S)T + SRT (from memory, unchecked:
    # derived anew from the balance of the two fluxes in a thin slice). S is found from the slope
    # at no thickness, where dR/dx = S.
    r = matter("tan").reflectance
    x = np.linspace(0.0, 1.5, 3001)
    reflects, passes = two_flux(r, _green(r), x)
    step = x[1] - x[0]
    scatter = reflects[1] / step
    absorbs = absorption(r) * scatter
    slope_r = np.gradient(reflects, step, axis=0)[5:-5]
    slope_t = np.gradient(passes, step, axis=0)[5:-5]
    R, T = reflects[5:-5], passes[5:-5]
    both = scatter + absorbs
    assert slope_r == pytest.approx(scatter - 2 * both * R + scatter * R**2, rel=0.01, abs=0.02)
    assert slope_t == pytest.approx(-both * T + scatter * R * T, rel=0.01, abs=0.02)


@pytest.mark.parametrize("name", ["soot", "oil", "tan", "off_white", "glaze_film"])
def test_ends_no_film_shows_the_ground_and_a_thick_one_only_itself(name: str) -> None:
    coated = _coated(name, "ceramic", np.array([0.0, 60.0]))
    assert coated[0] == pytest.approx(matter("ceramic").reflectance, abs=1e-12)
    assert coated[1] == pytest.approx(matter(name).reflectance, abs=1e-9)


@pytest.mark.parametrize("name", ["soot", "fuel_film", "tan"])
def test_thickness_one_passes_its_share_at_550_nm(name: str) -> None:
    green = _green(matter(name).reflectance)
    _, passes = two_flux(np.array([green]), green, np.array([1.0]))
    assert passes[0, 0] == pytest.approx(PASSES, rel=1e-9)


def test_two_films_on_one_another_are_one_of_both_thicknesses() -> None:
    soot = matter("grey_brown").reflectance
    once = _coated("grey_brown", "ceramic", np.array([0.5]))
    twice = over(*two_flux(soot, _green(soot), np.array([0.3])), once)
    assert twice == pytest.approx(_coated("grey_brown", "ceramic", np.array([0.8])), abs=1e-12)


@pytest.mark.parametrize("film", ["soot", "loose_soot", "oil", "grey_brown"])
def test_thin_cover_lies_between_its_ends_and_darkens_with_thickness(film: str) -> None:
    spectra = _coated(film, "ceramic", THICKNESSES)
    low = np.minimum(matter(film).reflectance, matter("ceramic").reflectance)
    high = np.maximum(matter(film).reflectance, matter("ceramic").reflectance)
    assert np.all(spectra >= low - 1e-9)
    assert np.all(spectra <= high + 1e-9)
    lightness = lab(spectra)[:, 0]
    assert np.all(np.diff(lightness) < 0)


def test_soot_over_ceramic_is_darker_than_dots_of_soot_that_hide_as_much() -> None:
    # Light goes through a film twice and past dots once: subtractive against area mixing.
    opacity = 0.5
    film = _coated("soot", "ceramic", thickness_of(np.array([opacity])))[0]
    dots = opacity * matter("soot").reflectance + (1 - opacity) * matter("ceramic").reflectance
    assert lab(film)[0] < lab(dots)[0] - 5


def test_opacity_is_what_a_purely_absorbing_film_keeps_back() -> None:
    # Beer and Lambert's law is the limit of no scattering: T = PASSES ** thickness.
    dark = np.array([0.001])
    _, passes = two_flux(dark, 0.001, thickness_of(np.array([0.2, 0.7, 0.95])))
    assert passes[:, 0] == pytest.approx([0.8, 0.3, 0.05], rel=0.01)


def test_the_table_agrees_with_the_law() -> None:
    r = matter("soot").reflectance
    thickness = np.random.default_rng(1).uniform(0, 2, (20, 30)).astype(np.float32)
    exact = over(*two_flux(r, _green(r), thickness), matter("ceramic").reflectance)
    quick = over(*looked_up(r, _green(r), thickness), matter("ceramic").reflectance)
    assert quick == pytest.approx(exact, abs=1e-3)
