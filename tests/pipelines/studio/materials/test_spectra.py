"""Reflectances and their colour."""

import numpy as np
import pytest

from pipelines.studio.materials.spectra import WAVELENGTHS, lab, matter


def test_lab_agrees_with_colour_science() -> None:
    # Reference library: colour-science, spectra on 1 nm, CIE 1931 2°, D65.
    colour = pytest.importorskip("colour")
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    for name in ("ceramic", "tan", "grey_brown", "soot", "cloth_blue", "rust"):
        values = matter(name).reflectance
        fine = np.arange(380, 781, 1)
        spectrum = colour.SpectralDistribution(np.interp(fine, WAVELENGTHS, values), fine)
        xyz = colour.sd_to_XYZ(spectrum, illuminant=colour.SDS_ILLUMINANTS["D65"]) / 100
        wanted = colour.XYZ_to_Lab(xyz, white)
        assert lab(values) == pytest.approx(wanted, abs=0.15), name


def test_grey_card_is_neutral_and_as_light_as_its_reflectance() -> None:
    # L* of Y = 0.18 is 116 · 0.18^(1/3) − 16 = 49.50 (CIE 15).
    assert lab(matter("grey_card").reflectance) == pytest.approx([49.50, 0.0, 0.0], abs=0.01)


def test_lab_takes_any_shape() -> None:
    spectra = np.linspace(0.1, 0.8, 2 * 3 * 16).reshape(2, 3, 16)
    assert lab(spectra).shape == (2, 3, 3)
    assert lab(spectra)[1, 2] == pytest.approx(lab(spectra[1, 2]))


def test_unknown_matter_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match="ceramic"):
        matter("cheese")


def test_all_matters_reflect_between_nothing_and_all() -> None:
    for name in ("ceramic", "chalk", "soot", "oil", "nickel", "plating", "paper", "ink"):
        assert np.all((matter(name).reflectance > 0) & (matter(name).reflectance < 1))
