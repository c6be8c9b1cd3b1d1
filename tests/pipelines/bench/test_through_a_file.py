"""A drawn sheet comes back from its file with its colours."""

from pathlib import Path

import numpy as np
import pytest

from pipelines.bench import through_a_file as bench
from pipelines.bench.light_simulation import nose_reflectances, xyz_of
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab


def test_squares_have_their_true_colours_by_the_chart_and_by_its_stored_light(tmp_path) -> None:
    true = xyz_to_lab(xyz_of(nose_reflectances()[: len(bench.NOSES)]))
    photo = bench.taken(tmp_path, "A", "D65", 0.0, 0)
    assert np.median(ciede2000(bench.colours(photo), true)) < 1.5
    stored = bench.chart_light(photo)
    darker = bench.taken(tmp_path, "A", "D65", 0.0, -1, with_chart=False)
    assert np.median(ciede2000(bench.colours(darker, stored), true)) < 1.5
    with pytest.raises(ValueError, match="is estimate"):
        bench.colours(darker)
    with pytest.raises(ValueError, match="not found"):
        bench.chart_light(darker)


def test_the_report_fails_when_a_limit_is_passed(monkeypatch, capsys) -> None:
    monkeypatch.setattr(bench, "spread_over_lamps", lambda *_: np.array([0.4, 0.6]))
    monkeypatch.setattr(bench, "moved", lambda *_: np.array([0.2, 0.3]))
    assert bench.report(Path(), ("A",), 0.0, "plain")
    assert "median 0.50 (limit 1.0), worst 0.60" in capsys.readouterr().out
    monkeypatch.setattr(bench, "moved", lambda *_: np.array([0.9]))
    assert not bench.report(Path(), ("A",), 0.0, "plain")
