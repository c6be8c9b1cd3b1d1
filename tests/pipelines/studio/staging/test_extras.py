"""What lies beside the subject keeps clear of it and of the line of sight."""

import numpy as np
import pytest

from pipelines.studio.geometry.pose import translation
from pipelines.studio.lights.rigs import sample_lights
from pipelines.studio.references.flat import flat
from pipelines.studio.staging.extras import (
    gap_between,
    laid_beside,
    litter,
    part_items,
    shade_item,
    shaded,
)
from pipelines.studio.staging.stage import Placed
from pipelines.studio.view import View

VIEW = View((0.0, -200.0, 300.0), (0, 0, 0), (0, 1, 0), 50.0, 320, 240, 0.5, (0, 0, 12.0))
BUSY = np.array([[x, y, z] for x in (-9.0, 0, 9) for y in (-9.0, 0, 9) for z in (0.0, 20)])


def test_litter_keeps_clear_of_the_subject_and_the_line_of_sight() -> None:
    eye, end = np.array(VIEW.origin), np.array(VIEW.focus)
    way = (end - eye) / np.linalg.norm(end - eye)
    found = 0
    for seed in range(4):
        for item in litter(seed, VIEW, BUSY[:, :2], 90.0, 4):
            found += 1
            points = item.mesh.vertices[::7]
            away = np.hypot(*(points[:, None, :2] - BUSY[None, :, :2]).transpose(2, 0, 1))
            assert away.min() > 0.5
            along = (points - eye) @ way
            off = np.linalg.norm(points - eye - along[:, None] * way, axis=1)
            assert off[along < np.linalg.norm(end - eye)].min(initial=99.0) > 6.0
    assert found > 4


def test_litter_comes_from_the_allowed_list_alone() -> None:
    for seed in range(3):
        coins = litter(seed, VIEW, BUSY[:, :2], 90.0, 5, ["coin"])
        assert coins
        # A coin is flat however it lies; a pen would be long, a bolt tall.
        for item in coins:
            assert np.ptp(item.mesh.vertices[:, 2]) < 4.0
            assert np.ptp(item.mesh.vertices[:, :2], axis=0).max() < 35.0
    with pytest.raises(ValueError, match="name at least one"):
        litter(1, VIEW, BUSY[:, :2], 90.0, 5, [])


@pytest.mark.parametrize("name", ["chart", "grey_card", "calculator"])
def test_a_reference_is_laid_whole_or_cut_off_as_asked(name: str) -> None:
    for seed in range(4):
        made = flat(name, seed)
        if made.width > 140:
            continue
        for whole in (True, False):
            items, placed, good = laid_beside(made, seed, VIEW, BUSY, 0.3, whole)
            assert len(items) == len(made.pieces)
            pixels = VIEW.project(placed.corners)
            inside = bool(((pixels > 0) & (pixels < [320, 240])).all())
            assert good
            assert inside == whole == ("whole" in placed.state)


def test_slender_parts_lie_and_gaps_are_measured() -> None:
    bit = part_items("drill bit", 3, "a", np.eye(4), lie=False)
    assert max(float(np.ptp(i.mesh.vertices[:, 2])) for i in bit) < 20
    other = part_items("coin", 3, "b", translation(200, 0, 0), lie=True)
    assert gap_between(bit, other) > 80


def test_a_shade_stays_out_of_the_picture_and_marks_what_it_shades() -> None:
    seen = 0
    for seed in range(200):
        lights = sample_lights(seed, ("D65",), VIEW.origin, VIEW.focus)
        if lights.shade is None:
            assert shade_item(lights, VIEW) is None
            continue
        item = shade_item(lights, VIEW)
        if item is None:
            continue
        seen += 1
        depth = (item.mesh.vertices - np.array(VIEW.origin)) @ VIEW.axes()[2]
        if np.all(depth > 1):
            pixels = VIEW.project(item.mesh.vertices)
            assert not ((pixels > 0) & (pixels < [320, 240])).all(axis=1).any()
        # A sheet of a tenth of a mm at the plate's own middle, seen from the lamp, is shaded.
        lamp = np.array(lights.groups[0].lamps[0].place)
        behind = np.array(lights.shade[0]) + 0.2 * (np.array(lights.shade[0]) - lamp)
        spot = behind + np.array([[-0.05, 0.05, 0], [0.05, 0.05, 0], [0.05, -0.05, 0], [0, 0, 0]])
        (marked,) = shaded(lights, [Placed("grey_card", spot, spot, ("whole",))])
        assert marked.state == ("whole", "shaded")
        (open_,) = shaded(lights, [Placed("grey_card", spot + 500, spot + 500, ("whole",))])
        assert open_.state == ("whole",)
    assert seen > 5
