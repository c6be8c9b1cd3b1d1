"""The simulation sees surfaces as a camera does, and its regions are those of a normal law."""

import numpy as np
import pytest
from scipy.stats import chi2

from pipelines.bench import light_simulation as simulation
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
    from tipvision.light.chart_editions import LATEST, edition_of

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
    assert simulation.main(["--draws", "1"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == len(simulation.LAMPS) + 4
    assert lines[-1].startswith("true colour within the 95 % region:")
