import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.colour.temperature import cct, daylight_xy, planckian_xy, white_at


def to_uv(xy: np.ndarray) -> np.ndarray:
    return colour.xy_to_UCS_uv(xy)


def test_planckian_against_colour_science() -> None:
    # Reference library: colour-science, CCT_to_xy_Kang2002.
    kelvin = np.geomspace(1700, 25000, 300)
    np.testing.assert_allclose(
        planckian_xy(kelvin), colour.temperature.CCT_to_xy_Kang2002(kelvin), rtol=0, atol=1e-9
    )


def test_planckian_against_planck() -> None:
    # Planck's law itself over the 2° observer (colour-science, CCT_to_uv_Planck1900): the cubic
    # fits stay within 0.0005 of it.
    kelvin = np.geomspace(1700, 25000, 20)
    exact = colour.temperature.CCT_to_uv_Planck1900(kelvin)
    np.testing.assert_allclose(to_uv(planckian_xy(kelvin)), exact, rtol=0, atol=5e-4)


def test_daylight_against_colour_science() -> None:
    # Reference library: colour-science, CCT_to_xy_CIE_D (CIE 15).
    kelvin = np.linspace(4000, 25000, 300)
    np.testing.assert_allclose(
        daylight_xy(kelvin), colour.temperature.CCT_to_xy_CIE_D(kelvin), rtol=0, atol=1e-9
    )


def test_d65_lies_on_the_daylight_locus() -> None:
    # D65 is daylight of 6504 K (CIE 15); the locus is a fit, good to about 0.0001.
    np.testing.assert_allclose(daylight_xy(6504), [0.3127, 0.3290], rtol=0, atol=2e-4)


def test_the_two_rules_meet_at_4000() -> None:
    np.testing.assert_array_equal(white_at(4000), daylight_xy(4000))
    np.testing.assert_array_equal(white_at(3999.9), planckian_xy(3999.9))
    step = np.linalg.norm(to_uv(white_at(4000)) - to_uv(planckian_xy(4000)))
    assert step == pytest.approx(0.0027, abs=5e-5)  # as the docstring of white_at says


@pytest.mark.parametrize("kelvin", [1699, 25001, 0, -5000, np.nan, np.inf])
def test_out_of_range(kelvin: float) -> None:
    with pytest.raises(ValueError, match="give 1700K to 25000K"):
        white_at(kelvin)


def test_standing_tests(standing_tests) -> None:
    # A black body of 3200 K by the same fits comes back as 3200 K (to the reach of one step).
    xy = planckian_xy(3200)
    answer = cct(xy)
    assert answer == pytest.approx(3200, abs=0.1)
    standing_tests(cct, xy, answer)


@given(st.floats(1700, 25000))
def test_cct_against_ohno(kelvin: float) -> None:
    # Reference library: colour-science, uv_to_CCT_Ohno2013.
    xy = white_at(kelvin)
    theirs = colour.temperature.uv_to_CCT_Ohno2013(to_uv(xy))[0]
    assert cct(xy) == pytest.approx(theirs, rel=0.005)


@pytest.mark.parametrize("name", ["A", "D50", "D65", "FL2", "FL11", "HP1", "LED-B1", "LED-RGB1"])
def test_cct_of_lamps(name: str) -> None:
    xy = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
    theirs = colour.temperature.uv_to_CCT_Ohno2013(to_uv(xy))[0]
    assert cct(xy) == pytest.approx(theirs, rel=0.005)
    if theirs > 2800:  # McCamy 1992, a second published way, made for 2856 K and up
        assert cct(xy) == pytest.approx(colour.temperature.xy_to_CCT_McCamy1992(xy), rel=0.01)


@pytest.mark.parametrize("xy", [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06], [0.6, 0.4], [0.24, 0.23]])
def test_no_temperature_for_a_colour(xy: list[float]) -> None:
    assert np.isnan(cct(xy))


def test_wrong_shape() -> None:
    with pytest.raises(ValueError, match="two numbers"):
        cct([0.3, 0.3, 0.4])
