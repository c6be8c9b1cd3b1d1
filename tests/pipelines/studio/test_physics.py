"""The studio's physics against published values and closed forms."""

import warnings

import numpy as np
import pytest

from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import plug_surfaces
from pipelines.studio.materials.spectra import WAVELENGTHS, lab
from pipelines.studio.materials.surface import detail, mean_reflectance, reflectance
from pipelines.studio.physics import (
    CHART_LIMIT,
    SHEET_LIMIT,
    delta,
    published_chart,
    published_film,
    rendered_chart,
    rendered_sheet,
    soot_lines,
    studio_film,
)
from pipelines.studio.plug import CONDITIONS, sample_plug

colour = pytest.importorskip("colour")


def _library_lab(spectrum: np.ndarray) -> np.ndarray:
    """CIELAB under D65/2° on 1 nm, ASTM E308's tables aside: plain summation."""
    nm = np.arange(380, 781)
    reflects = colour.SpectralDistribution(np.interp(nm, WAVELENGTHS, spectrum), nm)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        xyz = colour.sd_to_XYZ(
            reflects, illuminant=colour.SDS_ILLUMINANTS["D65"], method="Integration"
        )
        white = colour.sd_to_XYZ(
            colour.SpectralDistribution(np.ones(401), nm),
            illuminant=colour.SDS_ILLUMINANTS["D65"],
            method="Integration",
        )
    return np.asarray(colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(white / 100)))


@pytest.mark.parametrize("condition", CONDITIONS)
def test_nose_truth_agrees_with_the_reference_library(condition: str) -> None:
    # Reference library: colour-science, integration of spectra and CIEDE2000.
    plug = sample_plug(3, condition)  # type: ignore[arg-type]
    with detail(0.3):
        nose = plug_surfaces(plug, {"nose": plug_parts(plug)["nose"]})["nose"]
    spectrum = mean_reflectance(nose, np.random.default_rng(2).uniform(0, 1, (400, 2)))
    apart = colour.delta_E(lab(spectrum), _library_lab(spectrum), method="CIE 2000")
    assert apart < 0.1


def test_the_mean_is_that_of_the_points() -> None:
    plug = sample_plug(3, "dry_black")
    with detail(0.3):
        nose = plug_surfaces(plug, {"nose": plug_parts(plug)["nose"]})["nose"]
    uv = np.random.default_rng(2).uniform(0, 1, (500, 2))
    assert mean_reflectance(nose, uv) == pytest.approx(reflectance(nose, uv).mean(0), rel=1e-5)


@pytest.fixture
def renderer() -> None:
    pytest.importorskip("mitsuba")
    from pipelines.studio import render

    try:
        render.start_once()
    except RuntimeError as error:
        pytest.skip(str(error))


@pytest.mark.usefixtures("renderer")
def test_rendered_chart_under_d65_has_its_published_colours() -> None:
    assert delta(rendered_chart(), published_chart()).max() < CHART_LIMIT


@pytest.mark.usefixtures("renderer")
@pytest.mark.parametrize("name", ["grey_card", "paper"])
def test_radiance_of_a_matte_sheet_is_the_closed_form(name: str) -> None:
    got, wanted = rendered_sheet(name)
    assert got.shape == (len(WAVELENGTHS),)
    assert got == pytest.approx(wanted, rel=SHEET_LIMIT)


@pytest.mark.parametrize("film", ["soot", "oil", "tan", "glaze_film"])
def test_films_follow_the_published_law(film: str) -> None:
    # Published: Kubelka, J. Opt. Soc. Am. 38, 448 (1948), abstract.
    thickness = np.linspace(0, 3, 13)
    got, wanted = (f(film, "ceramic", thickness) for f in (studio_film, published_film))
    assert got == pytest.approx(wanted, rel=1e-6)


def test_the_soot_check_holds_and_would_see_a_wrong_film(monkeypatch: pytest.MonkeyPatch) -> None:
    lines, holds = soot_lines()
    assert holds and "published: Kubelka" in lines[-1]
    right = studio_film
    monkeypatch.setattr(
        "pipelines.studio.physics.studio_film", lambda f, g, t: right(f, g, 1.05 * t)
    )
    assert not soot_lines()[1]
