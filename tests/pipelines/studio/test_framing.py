"""What a window of a render shows: plugs, boxes, scales and references go the way of the pixels."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.studio.camera import Crop
from pipelines.studio.framing import in_crop, kept, largest_nose
from pipelines.studio.store import Linear, packed
from pipelines.studio.truth import PhotoTruth, ReferenceTruth
from tests.pipelines.studio.test_truth import GOOD, PLUG

WIDTH, HEIGHT = 80, 60
CHART = ReferenceTruth(
    "chart", ((50.0, 30.0), (70.0, 30.0), (70.0, 45.0), (50.0, 45.0)), ("whole",)
)
TILES = ReferenceTruth(
    "tile_grid", ((0.0, 50.0), (9.0, 50.0), (9.0, 59.0), (0.0, 59.0)), ("whole",)
)


def _mask() -> np.ndarray:
    """Two plugs: shells with noses in them, side by side."""
    mask = np.zeros((HEIGHT, WIDTH), np.uint8)
    for number, left in ((0, 10), (1, 40)):
        mask[10:30, left : left + 20] = 8 * number + 6
        mask[15:25, left + 5 : left + 15] = 8 * number + 1
    return mask


def _truth(*references: ReferenceTruth) -> PhotoTruth:
    plugs = (replace(PLUG, family="first"), replace(PLUG, family="second"))
    return replace(GOOD, size=(WIDTH, HEIGHT), plugs=plugs, references=references)


def _linear(*references: ReferenceTruth) -> Linear:
    bands = packed([np.ones((HEIGHT, WIDTH, 16), np.float32)])
    return Linear(bands, _mask(), ("D65",), 0.0, 0.0, ("A",), _truth(*references))


def test_all_of_it_enlarged() -> None:
    known, mask = in_crop(_truth(CHART), _mask(), Crop(0, 0, 80, 60, 160, 120))
    assert known.size == mask.shape[::-1] == (160, 120)
    assert [p.box for p in known.plugs] == [(20, 20, 40, 40), (80, 20, 40, 40)]
    assert [p.px_per_mm for p in known.plugs] == [2 * PLUG.px_per_mm] * 2
    assert [p.nose_px for p in known.plugs] == [2 * PLUG.nose_px] * 2
    assert known.references[0].corners[2] == (140.0, 90.0)
    assert known.references[0].state == ("whole",)


def test_a_plug_whose_nose_is_out_of_the_window_is_not_listed_but_stays_in_the_mask() -> None:
    # From column 24 on: one of the first nose's ten columns, 10 %; from 25 on none of it.
    known, _ = in_crop(_truth(), _mask(), Crop(24, 0, 50, 60, 50, 60))
    assert [p.family for p in known.plugs] == ["first", "second"]
    known, mask = in_crop(_truth(), _mask(), Crop(25, 0, 50, 60, 50, 60))
    assert [p.family for p in known.plugs] == ["second"]
    assert set(np.unique(mask)) == {0, 1, 6, 8 + 6}
    assert known.plugs[0].box == (15, 10, 20, 20)
    left, mask = in_crop(_truth(), _mask(), Crop(62, 0, 10, 10, 10, 10))
    assert left.plugs == () and left.mask is None and not mask.any()


def test_a_plug_seen_without_its_nose_is_listed_by_the_rest() -> None:
    mask = _mask()
    mask[mask == 1] = 6
    known, _ = in_crop(_truth(), mask, Crop(0, 0, 80, 60, 80, 60))
    assert [p.family for p in known.plugs] == ["first", "second"]


def test_a_nose_out_of_the_photo_has_no_colour_and_no_shine() -> None:
    mask = _mask()
    mask[15:25, 20:25] = 3
    known, _ = in_crop(_truth(), mask, Crop(10, 10, 60, 40, 60, 40))
    assert [p.nose_lab for p in known.plugs] == [PLUG.nose_lab] * 2
    # What is left of the first is deep in the bore; glare on the second is nose.
    mask[mask == 8 + 1] = 8 + 2
    known, _ = in_crop(_truth(), mask, Crop(20, 10, 50, 40, 50, 40))
    first, second = known.plugs
    assert (first.nose_lab, first.shine) == (None, None) and first.box is not None
    assert (second.nose_lab, second.shine) == (PLUG.nose_lab, PLUG.shine)


def test_references_cut_off_keep_their_corners_and_those_outside_go() -> None:
    known, _ = in_crop(_truth(CHART, TILES), _mask(), Crop(10, 0, 50, 40, 100, 80))
    (chart,) = known.references
    assert chart.kind == "chart" and chart.state == ("cut_off",)
    assert chart.corners[1] == (120.0, 60.0)


def test_photos_keep_the_firing_end_and_the_reference() -> None:
    boxes = [kept(_linear(CHART, TILES), seed) for seed in range(60)]
    assert all(b is not None for b in boxes)
    ends = {(b[0] + b[2], b[1] + b[3]) for b in boxes if b is not None}
    # The chart's far corner is (70, 45); where half of it will do, (65, 41).
    assert ends == {(70, 45), (65, 41)}
    lefts = [b[0] for b in boxes if b is not None]
    assert set(lefts) == {15, 45}
    assert sum(v == 45 for v in lefts) == pytest.approx(15, abs=10)


def test_a_grey_card_is_mostly_kept_by_half() -> None:
    boxes = [kept(_linear(replace(CHART, kind="grey_card")), seed) for seed in range(200)]
    whole = [b is not None and b[0] + b[2] == 70 for b in boxes]
    assert 0.05 < np.mean(whole) < 0.35


def test_the_largest_nose_that_shows_in_a_box() -> None:
    linear = _linear()
    plugs = tuple(replace(PLUG, nose_px=px) for px in (9.0, 14.0))
    linear = replace(linear, truth=replace(linear.truth, plugs=plugs))
    assert largest_nose(linear, (0, 0, 80, 60)) == 14.0
    assert largest_nose(linear, (0, 0, 38, 60)) == 9.0
    assert largest_nose(linear, (10, 10, 20, 5)) == 0.0


def test_nothing_to_keep() -> None:
    empty = replace(_linear(), mask=np.zeros((HEIGHT, WIDTH), np.uint8), truth=_truth(TILES))
    assert kept(replace(empty, truth=replace(empty.truth, plugs=())), 1) is None
