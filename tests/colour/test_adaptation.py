import colour
import numpy as np
import pytest

from tipvision.colour.adaptation import bradford
from tipvision.colour.chromaticity import D65_WHITE, xy_to_xyz

WHITES = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]


@pytest.mark.parametrize("name", ["A", "D50", "C", "FL2", "FL11", "LED-B1", "HP1"])
def test_against_colour_science(name: str) -> None:
    # Reference library: colour-science, matrix_chromatic_adaptation_VonKries, Bradford.
    white = xy_to_xyz(WHITES[name])
    theirs = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        white, D65_WHITE, transform="Bradford"
    )
    np.testing.assert_allclose(bradford(white, D65_WHITE), theirs, rtol=0, atol=1e-9)


def test_white_becomes_white_and_back() -> None:
    lamp = xy_to_xyz(WHITES["A"])
    there = bradford(lamp, D65_WHITE)
    np.testing.assert_allclose(there @ lamp, D65_WHITE, rtol=0, atol=1e-14)
    np.testing.assert_allclose(bradford(D65_WHITE, lamp) @ there, np.eye(3), rtol=0, atol=1e-12)


def test_same_white_changes_nothing() -> None:
    np.testing.assert_allclose(bradford(D65_WHITE, D65_WHITE), np.eye(3), rtol=0, atol=1e-14)


def test_number_types_and_inputs() -> None:
    lamp = xy_to_xyz(WHITES["A"])
    lamp.flags.writeable = False
    narrow = bradford(lamp.astype(np.float32), D65_WHITE.astype(np.float32))
    assert narrow.dtype == np.float64
    np.testing.assert_allclose(narrow, bradford(lamp, D65_WHITE), rtol=0, atol=1e-6)


@pytest.mark.parametrize("white", [[np.nan, 1, 1], [np.inf, 1, 1], [0, 0, 0]])
def test_impossible_whites_are_refused(white: list[float]) -> None:
    with pytest.raises(ValueError, match="No adaptation leads"):
        bradford(white, D65_WHITE)


def test_one_white_at_a_time() -> None:
    with pytest.raises(ValueError, match="one white at a time"):
        bradford(np.ones((2, 3)), D65_WHITE)
