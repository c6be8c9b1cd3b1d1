"""Drawn scenes show what they say, and the bench over them counts it."""

import numpy as np
import pytest

from pipelines.bench import chart_scenes, charts
from tipvision.light.chart.find import find_chart
from tipvision.light.homography import project


def test_a_chart_lies_whole_in_its_photo_where_its_pose_says() -> None:
    for seed in range(3):
        scene = chart_scenes.chart_scene(np.random.default_rng((5, seed)))
        height, width = scene.photo.shape[:2]
        edge = np.array([[-0.5, -0.5], [5.5, -0.5], [5.5, 3.5], [-0.5, 3.5]])
        assert scene.pose is not None
        corners = project(scene.pose, edge)
        assert (corners >= 0).all() and (corners <= (width, height)).all()
        assert scene.step >= chart_scenes.LEAST_STEP and scene.tilt <= chart_scenes.MOST_TILT
        view = find_chart(scene.photo, (width, height))
        assert view is not None
        assert charts.corner_error(project(view.homography, edge), corners) < 0.05


@pytest.mark.parametrize("kind", chart_scenes.OTHERS)
def test_what_is_no_chart_is_drawn_and_refused(kind: str) -> None:
    scene = chart_scenes.other_scene(np.random.default_rng(9), kind)
    assert scene.photo.dtype == np.uint8 and scene.photo.std() > 1
    assert (scene.pose is None) == (kind == "photos without a sheet")
    assert find_chart(scene.photo, scene.photo.shape[1::-1]) is None


def test_the_bench_fails_where_charts_are_missed_or_seen_where_none_is(monkeypatch, capsys) -> None:
    monkeypatch.setattr(charts, "OTHERS", {"mirrored charts": None})
    assert not charts.drawn(2)
    assert "charts found, drawn, tilted up to 50 degrees: 2 of 2" in capsys.readouterr().out
    scene = chart_scenes.chart_scene(np.random.default_rng((0, 0)))
    monkeypatch.setattr(charts, "other_scene", lambda *_: scene)
    assert charts.drawn(1)
    monkeypatch.setattr(charts, "find_chart", lambda *_: None)
    assert charts.drawn(1)
    assert "charts found, drawn, tilted up to 50 degrees: 0 of 1" in capsys.readouterr().out
