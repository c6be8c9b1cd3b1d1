"""The search by net, with a net that takes red for nose: its answers come to the right places."""

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from tests.tip.red_net import SIZE, WIDTH, write_red_net
from tipvision.photo.box import Box
from tipvision.tip.gates import LEAST_QUALITY, gates
from tipvision.tip.hint import Hint
from tipvision.tip.labels import mask_image
from tipvision.tip.net import TipNet, load_net
from tipvision.tip.seek import MARGIN, seek_tips
from tipvision.tip.tip import Part


@pytest.fixture(scope="module")
def net(tmp_path_factory: pytest.TempPathFactory) -> TipNet:
    return load_net(write_red_net(tmp_path_factory.mktemp("net") / "tip"))


def photo(size: tuple[int, int], *spots: tuple[int, int, int]) -> np.ndarray:
    picture = np.full((size[1], size[0], 3), 60, np.uint8)
    for x, y, radius in spots:
        cv2.circle(picture, (x, y), radius, (250, 10, 10), -1)
    return picture


def overlap(found: np.ndarray, picture: np.ndarray) -> float:
    nose, truth = (found == Part.NOSE) | (found == Part.GLARE), picture[..., 0] > 200
    return float((nose & truth).sum() / (nose | truth).sum())


@pytest.mark.parametrize("size", [(384, 288), (288, 384), (900, 900)])
@pytest.mark.parametrize("at", [(0.5, 0.5), (0.25, 0.7), (0.8, 0.3)])
def test_the_nose_comes_back_where_it_was(
    net: TipNet, size: tuple[int, int], at: tuple[float, float]
) -> None:
    x, y, radius = round(at[0] * size[0]), round(at[1] * size[1]), max(size) // 12
    picture = photo(size, (x, y, radius))
    search = seek_tips(net, picture, size)
    assert len(search.tips) == 1
    assert overlap(mask_image(search.tips, size), picture) > 0.93
    tip = search.tips[0]
    assert tip.nose_px == pytest.approx(WIDTH * MARGIN * SIZE * max(size), rel=0.02)
    assert tip.view == "oblique"
    assert search.plug_likely > 0.9
    outline = np.concatenate(tip.outlines)
    assert np.ptp(outline, axis=0) == pytest.approx([2 * radius] * 2, rel=0.1)
    assert outline.mean(axis=0) == pytest.approx([x, y], abs=0.04 * max(size))


def test_results_are_in_pixels_of_the_displayed_photo(net: TipNet) -> None:
    picture = photo((400, 300), (150, 140, 30))
    small = seek_tips(net, picture, (400, 300)).tips[0]
    large = seek_tips(net, picture, (4000, 3000)).tips[0]
    assert large.nose_px == pytest.approx(10 * small.nose_px, rel=0.02)
    assert large.box.x0 == pytest.approx(10 * small.box.x0, abs=10)
    at = np.concatenate(large.outlines)
    assert (at.min(axis=0) + at.max(axis=0)) / 2 == pytest.approx([1505, 1405], abs=25)


def test_a_spot_at_the_edge_keeps_its_place(net: TipNet) -> None:
    picture = photo((400, 300), (390, 150, 34))
    tips = seek_tips(net, picture, (400, 300)).tips
    assert overlap(mask_image(tips, (400, 300)), picture) > 0.9
    box = tips[0].box
    assert box == box.within(400, 300)


def test_several_are_several_and_the_same_one_is_one(net: TipNet) -> None:
    picture = photo((400, 300), (90, 90, 30), (300, 200, 30))
    tips = seek_tips(net, picture, (400, 300)).tips
    assert {tip.box.x0 < 150 for tip in tips} == {True, False}
    assert len(tips) == 2
    near = photo((400, 300), (180, 150, 26), (225, 150, 26))
    assert len(seek_tips(net, near, (400, 300)).tips) == 1


def test_where_nothing_is_red_no_plug_is_likely(net: TipNet) -> None:
    search = seek_tips(net, photo((400, 300)), (400, 300))
    assert search.tips == ()
    assert search.plug_likely < 0.1


def test_small_ones_are_looked_at_in_full_pixels(net: TipNet) -> None:
    full = photo((3200, 2400), (1200, 1000, 200))
    for x in range(1000, 1400, 60):
        full[:, x : x + 20] = 60  # gaps that the overview blurs
    asked: list[Box] = []

    def closer(box: Box, longest: int) -> np.ndarray:
        asked.append(box)
        crop = full[box.y0 : box.y1, box.x0 : box.x1]
        shrink = min(1.0, longest / max(crop.shape[:2]))
        return np.asarray(cv2.resize(crop, None, fx=shrink, fy=shrink))

    overview = cv2.resize(full, (100, 75), interpolation=cv2.INTER_AREA)
    rough = seek_tips(net, overview, (3200, 2400)).tips
    assert not asked
    fine = seek_tips(net, overview, (3200, 2400), closer=closer).tips
    assert asked == [fine[0].box]
    better, worse = (overlap(mask_image(tips, (3200, 2400)), full) for tips in (fine, rough))
    assert better > 0.8
    assert better > worse + 0.05


def test_the_bench_card_narrows_the_search(net: TipNet) -> None:
    picture = photo((1000, 750), (260, 300, 10), (800, 500, 80))
    assert seek_tips(net, picture, (1000, 750)).tips[0].box.x0 > 500
    there = seek_tips(net, picture, (1000, 750), Hint((255.0, 295.0), px_per_mm=3.0))
    assert len(there.tips) == 1
    assert there.tips[0].box.x1 < 400
    nothing = seek_tips(net, picture, (1000, 750), Hint((500.0, 100.0), px_per_mm=3.0))
    assert nothing.tips == ()
    assert nothing.plug_likely > 0.25  # the card was laid out for a plug


def test_an_unsure_outline_is_refused_with_its_reason(tmp_path: Path) -> None:
    unsure = load_net(write_red_net(tmp_path / "tip", quality=-1.0))
    tip = seek_tips(unsure, photo((400, 300), (150, 140, 40)), (400, 300)).tips[0]
    assert tip.quality < LEAST_QUALITY
    linear = np.random.default_rng(0).uniform(0.2, 0.6, (60, 60, 3)).astype(np.float32)
    clear = np.zeros((60, 60), bool)

    def codes(quality: float) -> set[str]:
        return {reason.code for reason in gates(replace(tip, quality=quality), linear, clear)}

    assert codes(tip.quality) - codes(1.0) == {"tip_not_found"}


@pytest.mark.parametrize("size", [(1, 1), (3, 900), (40, 30)])
def test_tiny_pictures_hold_no_tip(net: TipNet, size: tuple[int, int]) -> None:
    assert seek_tips(net, photo(size), size).tips == ()


def test_the_picture_is_left_as_it_was_and_the_search_repeats(net: TipNet) -> None:
    picture = photo((400, 300), (150, 140, 40))
    before = picture.copy()
    first, second = (seek_tips(net, picture, (400, 300)) for _ in range(2))
    assert (picture == before).all()
    assert (first.tips[0].labels == second.tips[0].labels).all()
