"""The studio's physics against published values and closed forms, without rendering."""

import warnings

import numpy as np
import pytest

from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.materials.cover import plug_surfaces
from pipelines.studio.materials.spectra import WAVELENGTHS, lab
from pipelines.studio.materials.surface import detail, mean_reflectance, reflectance
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
