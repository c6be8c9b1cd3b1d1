"""The simulated camera keeps white, and the command's verdict can fail."""

import numpy as np
import pytest

from pipelines.bench import card_simulation as simulation
from pipelines.bench.light_simulation import (
    CAMERAS,
    WHITE_LEVEL,
    chart_reflectances,
    xyz_of,
)
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ


@pytest.mark.parametrize("name", CAMERAS)
def test_the_daylight_matrix_keeps_white_and_fits_the_chart(name) -> None:
    matrix = simulation.daylight_matrix(name)
    assert matrix.sum(axis=0) == pytest.approx(np.ones(3))
    chart = chart_reflectances()
    seen = simulation.as_srgb(name, "D65", chart) / WHITE_LEVEL
    misses = ciede2000(xyz_to_lab(seen @ RGB_TO_XYZ.T), xyz_to_lab(xyz_of(chart)))
    assert np.median(misses) < 2.5


@pytest.mark.parametrize("stops", [-1.0, 0.0, 1.0])
def test_the_grey_itself_comes_out_as_it_is(stops: float) -> None:
    light = simulation.grey_light("A", "FL2", stops)
    even = np.full((1, chart_reflectances().shape[1]), 0.18)
    seen = 2.0**stops * simulation.as_srgb("A", "FL2", even)
    assert xyz_to_lab(light.correction.xyz(seen)) == pytest.approx(
        xyz_to_lab(RGB_TO_XYZ @ np.full((3,), 0.18))[None], abs=1e-6
    )


def test_the_command_fails_when_a_limit_is_passed(monkeypatch, capsys) -> None:
    monkeypatch.setattr(simulation, "LAMPS", ("D65",))
    monkeypatch.setattr(simulation, "SETTING_LAMPS", ("FL1",))
    monkeypatch.setattr(simulation, "SETTING_CAMERAS", ("A1",))
    assert simulation.main(["--draws", "1"]) == 0
    monkeypatch.setattr(simulation, "MOST_GREY", 0.1)
    assert simulation.main(["--draws", "1"]) == 1
    assert "grey card: true colour within" in capsys.readouterr().out
