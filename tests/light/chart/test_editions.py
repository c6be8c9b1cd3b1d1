"""The shipped editions are the published ones."""

import colour
import numpy as np
import pytest

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.editions import LATEST, NEUTRALS, edition_of, editions

PUBLISHED = {
    "before_2014_11": "ColorChecker24 - Before November 2014",
    "after_2014_11": "ColorChecker24 - After November 2014",
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_an_edition_is_the_reference_librarys(name: str) -> None:
    chart = colour.CCS_COLOURCHECKERS[PUBLISHED[name]]
    measured = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    white = colour.xy_to_XYZ(chart.illuminant)
    expected = colour.adaptation.chromatic_adaptation_VonKries(
        measured, white, colour.xy_to_XYZ([0.3127, 0.3290]), "Bradford"
    )
    assert edition_of(name).xyz == pytest.approx(expected, abs=5e-6)  # six decimals of x, y, Y


def test_every_edition_is_checked_above() -> None:
    assert set(editions()) == set(PUBLISHED)
    assert LATEST in PUBLISHED


def test_the_last_row_is_grey_and_the_editions_differ() -> None:
    labs = {name: xyz_to_lab(edition.xyz) for name, edition in editions().items()}
    for lab in labs.values():
        assert np.hypot(*lab[NEUTRALS, 1:].T).max() < 4  # the white is a warm one
        assert (np.diff(lab[NEUTRALS, 0]) < -10).all()
    assert 1.0 < ciede2000(*labs.values()).max() < 3.0  # so the edition must be asked for


def test_an_unknown_edition_is_refused_with_the_known_names() -> None:
    with pytest.raises(ValueError, match=r'"1890".*before_2014_11, after_2014_11'):
        edition_of("1890")
