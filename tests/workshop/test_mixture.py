import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipvision.workshop.air import Air
from tipvision.workshop.mixture import drift, mixture

AIRS = st.builds(Air, st.floats(-400, 5000), st.floats(-30, 45), st.floats(0, 1))
SEA = Air(0.0, 15.0)


@pytest.mark.parametrize(
    ("now", "air_fuel", "diameter"),
    [  # from √ρ and ⁴√ρ with ρ of ISO 2533, worked out by hand
        (Air(1000), -4.7, -2.4),
        (Air(2000), -9.4, -4.8),
        (Air(3000), -13.8, -7.2),
        (Air(0, -10.0), 4.6, 2.3),
        (Air(0, 35.0), -3.3, -1.7),
    ],
)
def test_the_law_of_the_fixed_jet(now: Air, air_fuel: float, diameter: float) -> None:
    change = drift(SEA, now)
    assert 100 * (change.air_fuel - 1) == pytest.approx(air_fuel, abs=0.06)
    assert 100 * (change.jet_diameter - 1) == pytest.approx(diameter, abs=0.06)


@given(AIRS, AIRS)
def test_there_and_back_is_no_drift(one: Air, other: Air) -> None:
    there, back = drift(one, other), drift(other, one)
    assert there.air_fuel * back.air_fuel == pytest.approx(1.0)
    assert there.jet_diameter**2 == pytest.approx(there.jet_area)
    assert there.jet_area == there.air_fuel


@given(st.floats(0, 4000), st.floats(0, 40))
def test_vapour_takes_the_place_of_air(altitude: float, celsius: float) -> None:
    damp = drift(Air(altitude, celsius), Air(altitude, celsius, 1.0))
    assert damp.air_fuel < math.sqrt(damp.density) < 1.0  # richer than its density alone says


def test_uphill_is_richer_and_downhill_is_jetted_before_the_engine_runs() -> None:
    up, down = mixture(SEA, Air(2000)), mixture(Air(2000), SEA)
    assert "9.4 % richer" in up.sentences[0] and "leaner" in down.sentences[0]
    assert any("before the engine runs" in s and "lean" in s for s in down.sentences)
    assert any("one size at a time" in s and "richer side" in s for s in up.sentences)


def test_the_reading_after_load_stands_with_its_cautions() -> None:
    reading = {"engine_cold", "ignition_off", "closed_ground", "no_load_stop"}
    assert reading <= set(mixture(SEA, Air(2000)).cautions)
    assert not reading & set(mixture(Air(2000), SEA).cautions)  # asks for no reading


def test_neither_number_is_advised_while_the_numbering_is_not_known() -> None:
    asked = " ".join(mixture(SEA, Air(2000), jet=120).sentences)
    assert "by diameter, 120 becomes 114.3" in asked and "by flow, 108.8" in asked
    assert "Ask which" in asked
    told = " ".join(mixture(SEA, Air(2000), jet=120, numbered_by="flow").sentences)
    assert "108.8" in told and "114.3" not in told and "Ask which" not in told


def test_an_injected_engine_is_left_alone() -> None:
    worked = mixture(SEA, Air(3000), fuel="injection", jet=120)
    assert "change nothing" in worked.sentences[-1]
    assert set(worked.numbers) == {"density_percent"}


def test_a_small_drift_asks_for_no_jet() -> None:
    worked = mixture(SEA, Air(100, 15.0))
    assert "no jet change" in worked.sentences[1]
    assert not any("Go down" in s or "Fit the richer" in s for s in worked.sentences)


@pytest.mark.parametrize("given_", [{"jet": 0.0}, {"jet": math.nan}, {"numbered_by": "guess"}])
def test_what_is_no_jet_is_refused(given_: dict[str, object]) -> None:
    with pytest.raises(ValueError):
        mixture(SEA, SEA, **given_)  # type: ignore[arg-type]
