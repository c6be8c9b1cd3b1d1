"""Truth from a stage and its labels: each plug its own, references where the lens puts them."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.camera import CameraSettings
from pipelines.studio.known import Rendered, light_of, seen_in, shows, truth
from pipelines.studio.plug import sample_plug
from pipelines.studio.staging import sample_empty, sample_stage
from pipelines.studio.staging.stage import Stage
from pipelines.studio.truth import PhotoTruth

SIZE = (160, 120)
NOSES = (((60.0, 1.0, 2.0), 0.25), (None, None))


def _row(**options: object) -> Stage:
    plugs = [
        sample_plug(1, "normal"),
        sample_plug(2, "wet_black", families=["m18-taper-projected-nickel-j"]),
    ]
    return sample_stage(plugs, 3, ("grey paint",), "oblique", size=SIZE, **options)  # type: ignore[arg-type]


def _known(stage: Stage, noses: object = NOSES) -> PhotoTruth:
    mask = np.zeros(SIZE[::-1], np.uint8)
    mask[10:20, 30:50] = 1
    rendered = Rendered(np.zeros((*SIZE[::-1], 16), np.float32), mask, noses)  # type: ignore[arg-type]
    return truth(stage, rendered, CameraSettings("A2"), 1, 9, "a.jpg", "masks/a.png")


def test_each_plug_of_a_row_has_its_own_truth() -> None:
    known = _known(_row())
    first, second = known.plugs
    assert (first.condition, second.condition) == ("normal", "wet_black")
    assert (first.nose_lab, first.shine) == NOSES[0]
    assert (second.nose_lab, second.shine) == (None, None)
    assert first.box == (30, 10, 20, 10) and second.box is None
    assert known.camera == "A2" and known.size == SIZE


def test_as_many_noses_as_plugs_are_asked_for() -> None:
    with pytest.raises(ValueError, match="2 plugs, but 1 noses"):
        _known(_row(), NOSES[:1])


def test_references_lie_where_the_view_projects_them() -> None:
    stage = sample_stage(
        sample_plug(1, "normal"), 4, ("grey paint",), "end_on", size=SIZE, reference="chart",
        share=0.1,
    )  # fmt: skip
    (chart,) = _known(stage, NOSES[:1]).references
    (placed,) = stage.references
    assert chart.kind == "chart"
    assert np.array(chart.corners) == pytest.approx(
        stage.scene.view.project(placed.corners), abs=0.006
    )
    assert ("whole" in chart.state) == ("whole" in placed.state)


def test_look_alikes_keep_their_kinds() -> None:
    kinds = set()
    for seed in range(14):
        stage = sample_empty(seed, ("grey paint",), size=SIZE)
        known = _known(stage, ())
        assert known.plugs == ()
        kinds |= {r.kind for r in known.references}
    assert kinds and kinds <= {"tile_grid", "calculator", "carton"}


def test_frames_decide_what_is_whole_and_what_shows() -> None:
    corners = [(-5.0, 2.0), (40.0, 2.0), (40.0, 30.0), (-5.0, 30.0)]
    assert seen_in("chart", corners, ("whole", "tilted"), SIZE).state == ("cut_off", "tilted")
    moved = [(x + 10, y) for x, y in corners]
    assert seen_in("chart", moved, ("cut off",), SIZE).state == ("whole",)
    assert shows(corners, SIZE)
    assert not shows([(x - 60, y) for x, y in corners], SIZE)


def test_shares_of_the_light() -> None:
    stage = _row(mixed=1.0)
    assert stage.lights is not None
    shares = light_of(stage)
    assert [s.illuminant for s in shares] == [g.illuminant for g in stage.lights.groups]
    assert sum(s.share for s in shares) == pytest.approx(1)
    assert [s.share for s in light_of(replace(stage, lights=None))] == [1.0]
