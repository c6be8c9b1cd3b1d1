"""The chart bench counts and measures what it says."""

import json
import shutil

import numpy as np
import pytest

from pipelines.bench import charts
from tipvision.light.homography import project

SQUARE = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]]


def test_a_corner_error_is_a_share_of_the_mean_side() -> None:
    moved = np.array(SQUARE) + np.array([3.0, 4.0])
    assert charts.corner_error(moved, SQUARE) == pytest.approx(5.0 / 50.0)
    assert charts.corner_error(np.array(SQUARE), SQUARE) == 0.0


def test_outer_patches_lie_inside_the_outline_by_the_studios_margin() -> None:
    step = 10.0
    outline = step * (charts.OUTER + 0.68 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]))
    seen = project(charts.pose_of(outline), charts.OUTER)
    assert seen == pytest.approx(step * charts.OUTER, abs=1e-4)


@pytest.mark.parametrize("degrees", [0, 30, 60])
def test_tilt_is_the_angle_of_the_normal(degrees: int) -> None:
    outline = charts.OUTER + 0.68 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) - [2.5, 1.5]
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    depth = 200.0 + sin * outline[:, 1]  # far away, so that the middle speaks for all
    seen = np.stack([outline[:, 0], cos * outline[:, 1]], 1) / depth[:, None] * 1e4
    assert charts.tilt_of(seen) == pytest.approx(degrees, abs=1.0)


def test_a_row_of_the_studio_says_how_it_shows_the_chart() -> None:
    def row(*states: str) -> dict:
        chart = {"kind": "chart", "corners": SQUARE, "state": list(states)}
        return {"file": "a.jpg", "references": [chart], "stored_light": None}

    assert charts.charts_of(row("whole"))[0][1] == "whole"
    assert charts.charts_of(row("whole", "covered"))[0][1] == "whole, covered"
    assert charts.charts_of(row("cut_off", "covered"))[0][1] == "cut off"
    bare = {
        "file": "a.jpg",
        "references": [{"kind": "tile_grid"}],
        "stored_light": {"file": "b.jpg", "corners": SQUARE},
    }
    found = [(name, kind) for name, kind, _ in charts.charts_of(bare)]
    assert found == [("a.jpg", "none"), ("b.jpg", "of a stored light")]


def test_photos_from_elsewhere_are_counted(tmp_path, capsys) -> None:
    sample = charts.Path(__file__).parents[3] / "synthetic_images" / "sample"
    manifest = map(json.loads, (sample / "manifest.jsonl").read_text("utf-8").splitlines())
    light = next(row["stored_light"] for row in manifest if row["stored_light"])
    shutil.copy(sample / light["file"], tmp_path / "chart.jpg")
    shutil.copy(sample / "001.jpg", tmp_path / "bare.jpg")
    view = charts.look(charts.open_photo(str(tmp_path / "chart.jpg")), charts.LATEST).view
    assert view is not None
    rows = [
        {"file": "chart.jpg", "label": "chart", "chart_corners": view.corners.tolist()},
        {"file": "bare.jpg", "label": "chart", "chart_corners": SQUARE},
        {"file": "bare.jpg", "label": "plug"},
        {"file": "bare.jpg", "label": "plug", "part": "count"},
    ]
    (tmp_path / "index.jsonl").write_text("\n".join(map(json.dumps, rows)), "utf-8")
    charts.outside(tmp_path, None, charts.LATEST)
    printed = capsys.readouterr().out
    assert "chart.jpg: corners off by 0.0%" in printed
    assert "bare.jpg: not found" in printed
    assert "charts found: 1 of 2" in printed
    assert "where one was seen: 0 of 2" in printed
    charts.outside(tmp_path, "count", charts.LATEST)
    assert "charts found: none to count" in capsys.readouterr().out


def test_a_folder_without_a_list_is_told_in_one_line(tmp_path) -> None:
    with pytest.raises(SystemExit, match=r"manifest\.jsonl: No such file.*Name a folder"):
        charts.studio(tmp_path, charts.LATEST)
