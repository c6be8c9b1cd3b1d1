"""The chart of a stored light: whole in its picture, flat, under the photo's own lamps, no plug."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.chart_photo import FILLS, chart_stage
from pipelines.studio.looks.job import job
from pipelines.studio.looks.stage import stage_of
from pipelines.studio.materials.surface import detail
from pipelines.studio.staging import Stage
from pipelines.studio.staging.stage import part_of


@pytest.fixture(scope="module")
def pairs() -> list[tuple[Stage, Stage]]:
    out = []
    for index in range(8):
        drawn = replace(job("train", index), row=(), round_plug=None, reference="stored_light")
        with detail(0.1):
            stage = stage_of(drawn)
            out.append((stage, chart_stage(stage, drawn.seed)))
    return out


def test_it_has_the_lamps_of_the_photo_and_no_plug(pairs: list[tuple[Stage, Stage]]) -> None:
    for stage, chart in pairs:
        assert chart.lights is stage.lights
        assert chart.scene.lighting == stage.scene.lighting
        assert chart.ground == stage.ground
        names = {part_of(item.name)[0] for item in chart.scene.items}
        assert "chart" in names and "bench" in names
        assert not names & {"nose", "shell", "strap", "shade"}


def test_the_chart_lies_flat_where_the_lamps_aim_and_whole_in_the_picture(
    pairs: list[tuple[Stage, Stage]],
) -> None:
    for stage, chart in pairs:
        (placed,) = chart.references
        view = chart.scene.view
        assert np.ptp(placed.corners[:, 2]) == pytest.approx(0.0, abs=1e-9)
        assert placed.corners.mean(axis=0) == pytest.approx(stage.scene.view.focus)
        xy = view.project(placed.corners)
        assert xy.min() > 0 and np.all(xy < [view.width, view.height])
        span = (np.ptp(xy, axis=0) / [view.width, view.height]).max()
        assert FILLS[0] - 0.01 < span < FILLS[1] + 0.01
        # Read clockwise from its top left corner: seen from above, not through the bench.
        (ax, ay), (bx, by), (cx, cy), _ = xy
        assert (bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 0


def test_nothing_of_the_bench_stands_over_the_chart(pairs: list[tuple[Stage, Stage]]) -> None:
    for _, chart in pairs:
        (placed,) = chart.references
        middle, height = placed.corners[:, :2].mean(axis=0), placed.corners[0, 2]
        reach = 0.45 * np.linalg.norm(placed.corners[1] - placed.corners[2])
        for item in chart.scene.items:
            if item.name.startswith("chart"):
                continue
            near = np.linalg.norm(item.mesh.vertices[:, :2] - middle, axis=1) < reach
            assert np.all(item.mesh.vertices[near, 2] < height)


def test_a_stage_without_lights_is_refused(pairs: list[tuple[Stage, Stage]]) -> None:
    with pytest.raises(ValueError, match="no lights"):
        chart_stage(replace(pairs[0][0], lights=None), 1)
