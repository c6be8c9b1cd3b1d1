"""The simulation sees surfaces as a camera does, and its regions are those of a normal law."""

import numpy as np
import pytest
from scipy.stats import chi2

from pipelines.bench import light_simulation as simulation
from pipelines.bench.unknown_light import SET_BY, SIZE, seen_unknown
from tipvision.colour.lab import D65_WHITE, xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.correction import Correction


def test_a_perfect_white_is_grey_under_every_lamp_and_white_under_d65() -> None:
    white = np.ones((1, len(simulation.FINE)))
    for lamp in simulation.LAMPS:
        for name in simulation.CAMERAS:
            seen = simulation.seen_by(name, lamp, white)
            assert seen == pytest.approx(simulation.WHITE_LEVEL)
    assert simulation.xyz_of(white)[0] == pytest.approx(D65_WHITE)


def test_the_chart_is_near_its_shipped_edition() -> None:
    from tipvision.colour.difference import ciede2000
    from tipvision.light.chart.editions import LATEST, edition_of

    labs = (
        xyz_to_lab(x)
        for x in (simulation.xyz_of(simulation.chart_reflectances()), edition_of(LATEST).xyz)
    )
    assert ciede2000(*labs).mean() < 2.0  # averages of old charts against a new edition


def test_the_region_holds_95_percent_of_a_normal_distribution() -> None:
    assert pytest.approx(chi2.ppf(0.95, 3), abs=1e-4) == simulation.CHI_SQUARED_95
    rng = np.random.default_rng(0)
    gains = np.exp(rng.normal(0, 0.02, (2000, 3)))
    samples = Correction.linear(RGB_TO_XYZ * gains[:, None, :])
    rgb = np.array([[0.3, 0.25, 0.2]])
    true = xyz_to_lab(samples.xyz(rgb))[:, 0]
    inside = sum(simulation.held_by(samples, rgb, lab[None]) for lab in true[:400])
    assert inside / 400 == pytest.approx(0.95, abs=0.03)


def test_a_refused_chart_counts_as_refused_and_not_as_an_error() -> None:
    looks = [(np.array([1.0, 3.0]), 2), None, (np.array([2.0]), 1)]
    assert simulation.median_of(looks) == 2.0
    assert simulation.median_of([None]) == float("inf")


def test_it_prints_a_line_a_lamp_and_keeps_its_limits(capsys, monkeypatch) -> None:
    monkeypatch.setattr(simulation, "LAMPS", ("D65", "FL2", "LED-B3"))
    monkeypatch.setattr(simulation, "MOST_WIDTH", 40.0)
    monkeypatch.setattr(simulation, "LEAST_HELD", 0.8)
    monkeypatch.setattr(simulation, "MOST_HELD", 1.0)
    assert simulation.main(["--draws", "1", "--cases", "40"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(simulation.LAMPS) + 7
    assert lines[-4].startswith("true colour within the 95 % region:")
    monkeypatch.setattr(simulation, "MOST_WIDTH", 5.0)
    assert simulation.main(["--draws", "1", "--cases", "10"]) == 1
    assert "half-width" in capsys.readouterr().out.splitlines()[-1]


def test_an_unknown_lights_case_is_an_exposed_photo_and_a_cast_that_balance_leaves() -> None:
    rng = np.random.default_rng(3)
    grey = np.full((1, len(simulation.FINE)), 0.3)
    matrix = simulation.daylight_matrix("A")
    for _ in range(10):
        overview, rgb = seen_unknown(rng, "A", "D65", matrix, SET_BY, grey)
        assert overview.dtype == np.uint8 and overview.shape == (*SIZE, 3)
        assert 10 < overview.mean() < 245
        assert rgb.shape == (1, 3)
        # daylight is seen as daylight, but for the settings of a spoilt balance
        assert rgb[0] / rgb[0, 1] == pytest.approx(np.ones(3), abs=0.5)
