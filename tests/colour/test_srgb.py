import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage import color as skimage_color

from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ, decode, encode, linear_table


def test_standing_tests(standing_tests) -> None:
    # sRGB transfer functions (reference library: colour-science, eotf_sRGB and its inverse).
    codes = np.array([0.02, 0.5, 1.0])
    light = colour.models.eotf_sRGB(codes)
    standing_tests(decode, codes, light)
    standing_tests(encode, light, codes)


def test_curve_against_colour_science() -> None:
    values = np.concatenate([np.linspace(0, 1, 1001), np.linspace(0, 0.06, 1001)])
    # Between the rounded limits of the standard and the exact ones of colour-science the two
    # branches differ by less than 1e-7: those values are left out.
    codes = values[np.abs(values - 0.04045) > 1e-5]
    np.testing.assert_allclose(decode(codes), colour.models.eotf_sRGB(codes), rtol=0, atol=1e-9)
    light = values[np.abs(values - 0.0031308) > 1e-6]
    np.testing.assert_allclose(
        encode(light), colour.models.eotf_inverse_sRGB(light), rtol=0, atol=1e-9
    )


def test_curve_against_scikit_image() -> None:
    rgb = np.random.default_rng(2).uniform(0, 1, (500, 3))
    rgb[:200] *= 0.15  # dark colours
    # scikit-image gives XYZ by a matrix of its own, rounded with another D65 (1.08883): taken out
    # again, so that the tone curve alone is compared.
    theirs = skimage_color.rgb2xyz(rgb) @ np.linalg.inv(skimage_color.colorconv.xyz_from_rgb).T
    np.testing.assert_allclose(decode(rgb), theirs, rtol=0, atol=1e-9)


def test_matrix_against_colour_science() -> None:
    srgb = colour.RGB_COLOURSPACES["sRGB"]
    exact = colour.models.normalised_primary_matrix(srgb.primaries, srgb.whitepoint)
    np.testing.assert_allclose(RGB_TO_XYZ, exact, rtol=0, atol=1e-12)
    # What IEC 61966-2-1 prints (colour-science's default) is this matrix to four decimals.
    np.testing.assert_array_equal(np.round(RGB_TO_XYZ, 4), srgb.matrix_RGB_to_XYZ)


def test_a_grey_is_neutral() -> None:
    grey = np.repeat(np.linspace(0, 1, 21)[:, np.newaxis], 3, axis=1)
    lab = xyz_to_lab(decode(grey) @ RGB_TO_XYZ.T)
    np.testing.assert_allclose(lab[:, 1:], 0.0, rtol=0, atol=1e-12)
    assert np.all(np.diff(lab[:, 0]) > 0)


@given(st.floats(-0.5, 2.0))
def test_there_and_back(code: float) -> None:
    # The standard's rounded limits leave a step of about 1e-8 where the branches meet.
    assert encode(decode(code)) == pytest.approx(code, abs=1e-7)


def test_any_shape_is_taken() -> None:
    assert decode(0.5).shape == ()
    assert decode(np.zeros((4, 5))).shape == (4, 5)


def test_table() -> None:
    table = linear_table()
    assert table.dtype == np.float32
    np.testing.assert_array_equal(
        table, colour.models.eotf_sRGB(np.arange(256) / 255).astype(np.float32)
    )
    with pytest.raises(ValueError, match="read-only"):
        table[0] = 1.0
