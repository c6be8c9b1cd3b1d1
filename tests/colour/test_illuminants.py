import colour
import numpy as np
import pytest

from tipvision.colour.illuminants import illuminants, white_of
from tipvision.colour.temperature import white_at

WHITES = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]


@pytest.mark.parametrize("name", list(illuminants()))
def test_whites_against_colour_science(name: str) -> None:
    # CIE 15 whites (reference library: colour-science, CCS_ILLUMINANTS, which calls F1 "FL1").
    theirs = WHITES["FL" + name[1:] if name[0] == "F" else name]
    np.testing.assert_array_equal(white_of(name), theirs)
    assert illuminants()[name].words


def test_the_usual_lamps_are_there() -> None:
    usual = {"A", "D50", "D55", "D65", "D75", "F2", "F7", "F11", "LED-RGB1", "LED-V1"}
    assert usual | {f"LED-B{n}" for n in range(1, 6)} <= set(illuminants())


@pytest.mark.parametrize(
    ("given", "means"), [("d65", "D65"), (" led-b3 ", "LED-B3"), ("FL11", "F11"), ("fl2", "F2")]
)
def test_other_spellings(given: str, means: str) -> None:
    np.testing.assert_array_equal(white_of(given), illuminants()[means].xy)


@pytest.mark.parametrize(
    ("given", "kelvin"), [("4000K", 4000), ("2700 k", 2700), ("6503.5K", 6503.5), ("25000K", 25000)]
)
def test_kelvin(given: str, kelvin: float) -> None:
    np.testing.assert_array_equal(white_of(given), white_at(kelvin))


@pytest.mark.parametrize("given", ["", "torch", "F99", "4000", "-4000K", "K", "4000KK", "FLD65"])
def test_unknown_names_say_what_can_be_given(given: str) -> None:
    with pytest.raises(ValueError, match=r"No light is called .* such as 4000K, or one of: A, D50"):
        white_of(given)


def test_kelvin_out_of_range() -> None:
    with pytest.raises(ValueError, match="give 1700K to 25000K"):
        white_of("900K")


def test_changing_an_answer_changes_nothing_else() -> None:
    white = white_of("A")
    white[:] = 0.0
    np.testing.assert_array_equal(white_of("A"), WHITES["A"])
    with pytest.raises(ValueError, match="read-only"):
        illuminants()["A"].xy[0] = 0.0
