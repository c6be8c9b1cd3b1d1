import math

import pytest

from tipvision.workshop.tip_temperature import tip_temperature


def test_the_window_in_both_units() -> None:
    worked = tip_temperature(None)
    assert "500 to 800 °C (932 to 1472 °F)" in worked.sentences[0]
    assert worked.numbers["nose_c"] is None and worked.numbers["nose_f"] is None
    assert "No photo shows a temperature" in worked.sentences[-1]


@pytest.mark.parametrize(
    ("celsius", "words"),
    [
        (300.0, "too cold"),
        (499.9, "too cold"),
        (500.0, "in the window"),
        (800.0, "in the window"),
        (801.0, "above the window"),
        (850.0, "stop the engine"),
    ],
)
def test_where_a_temperature_lies(celsius: float, words: str) -> None:
    worked = tip_temperature(celsius)
    assert words in worked.sentences[0]
    assert ("never_leaner_or_hotter" in worked.cautions) == (celsius > 800)


@pytest.mark.parametrize("celsius", [-300.0, 3000.0, math.nan])
def test_what_no_nose_reaches_is_refused(celsius: float) -> None:
    with pytest.raises(ValueError):
        tip_temperature(celsius)
