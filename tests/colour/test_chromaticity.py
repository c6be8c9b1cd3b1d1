import colour
import numpy as np
import pytest

from tipvision.colour.chromaticity import D65_WHITE, D65_XY, xy_to_xyz


def test_standing_tests(standing_tests) -> None:
    # D50, x 0.3457, y 0.3585 (reference library: colour-science, xy_to_XYZ).
    white = colour.xy_to_XYZ([0.3457, 0.3585])
    standing_tests(xy_to_xyz, [0.3457, 0.3585], white)


def test_there_and_back() -> None:
    xy = np.random.default_rng(1).uniform(0.1, 0.45, (50, 2))
    xyz = xy_to_xyz(xy)
    np.testing.assert_allclose(colour.XYZ_to_xy(xyz), xy)  # reference library: colour-science
    np.testing.assert_array_equal(xyz[:, 1], 1.0)


def test_d65() -> None:
    # CIE 15 white (reference library: colour-science, CCS_ILLUMINANTS).
    table = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    np.testing.assert_array_equal(D65_XY, table["D65"])
    np.testing.assert_allclose(D65_WHITE, colour.xy_to_XYZ(table["D65"]), rtol=0, atol=1e-15)


def test_the_white_cannot_be_overwritten() -> None:
    for white in (D65_XY, D65_WHITE):
        with pytest.raises(ValueError, match="read-only"):
            white[0] = 1.0


def test_wrong_shape() -> None:
    with pytest.raises(ValueError, match="two numbers"):
        xy_to_xyz([0.3, 0.3, 0.4])
