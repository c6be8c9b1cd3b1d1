"""The finder on firing ends and other things that are drawn, not photographed."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.tip_net.classical.find import find_tips
from tests.tip.drawn_plug import (
    NOSE_ALBEDO,
    DrawnPlug,
    add_plug,
    background,
    draw_other,
    draw_plug,
    photographed,
)
from tipvision.tip.hint import Hint
from tipvision.tip.labels import mask_image
from tipvision.tip.tip import Part

OTHERS = ["flat", "noise", "washers", "nut", "bearing", "coil", "text", "clutter", "rotor"]


def overlap(plug: DrawnPlug, hint: Hint | None = None) -> float:
    """Intersection over union of the first tip's nose with the drawn one; 0 where none is found."""
    picture, truth = draw_plug(plug)
    mask = mask_image(find_tips(picture, plug.size, hint).tips[:1], plug.size)
    nose = (mask == Part.NOSE) | (mask == Part.GLARE)
    return float((nose & truth).sum() / (nose | truth).sum())


@pytest.mark.parametrize("condition", NOSE_ALBEDO)
@pytest.mark.parametrize("rim", [70.0, 210.0])
def test_the_nose_is_found_in_every_condition(condition: str, rim: float) -> None:
    assert overlap(DrawnPlug(condition=condition, rim=rim)) > 0.6


@pytest.mark.parametrize("angle", [0.0, 75.0, 160.0, 290.0])
def test_the_strap_may_stand_anywhere(angle: float) -> None:
    assert overlap(DrawnPlug(strap_angle=angle)) > 0.7


@pytest.mark.parametrize("squash_angle", [0.0, 60.0, 120.0])
def test_a_slant_is_found_and_named(squash_angle: float) -> None:
    plug = DrawnPlug(squash=0.85, squash_angle=squash_angle)
    assert overlap(plug) > 0.6
    assert find_tips(draw_plug(plug)[0], plug.size).tips[0].view == "oblique"


@pytest.mark.parametrize("light", [0.4, 1.6])
def test_brightness_moves_nothing_but_the_brightness(light: float) -> None:
    plug = DrawnPlug(noise=0.002)
    tip = find_tips(draw_plug(plug)[0], plug.size).tips[0]
    other = find_tips(draw_plug(replace(plug, light=light))[0], plug.size).tips[0]
    assert other.nose_px == pytest.approx(tip.nose_px, rel=0.06)
    assert np.abs(np.subtract(other.box.x0, tip.box.x0)) <= 0.05 * tip.box.width


def test_results_are_in_pixels_of_the_displayed_photo() -> None:
    plug = DrawnPlug()
    picture, _ = draw_plug(plug)
    small = find_tips(picture, plug.size).tips[0]
    large = find_tips(picture, (3200, 2400)).tips[0]
    assert large.nose_px == pytest.approx(4 * small.nose_px)
    assert large.box.x0 == pytest.approx(4 * small.box.x0, abs=4)
    middle = np.concatenate(large.outlines).mean(axis=0)
    assert np.hypot(*(middle - (1600, 1200))) < 0.5 * large.nose_px


@pytest.mark.parametrize("kind", OTHERS)
@pytest.mark.parametrize("seed", [0, 1])
def test_other_things_are_not_taken_for_plugs(kind: str, seed: int) -> None:
    assert find_tips(draw_other(kind, seed), (800, 600)).tips == ()


@pytest.mark.parametrize("kind", ["flat", "noise"])
def test_where_nothing_is_no_plug_is_likely(kind: str) -> None:
    assert find_tips(draw_other(kind), (800, 600)).plug_likely < 0.25


def test_two_plugs_are_two_tips() -> None:
    random = np.random.default_rng(0)
    linear = background("wood", (800, 600), random)
    for x in (200.0, 590.0):
        add_plug(linear, DrawnPlug(centre=(x, 300.0), rim=95.0), random)
    found = find_tips(photographed(linear, 1.0, 0.8, 0.006, random), (800, 600)).tips
    assert len(found) == 2
    assert {tip.box.x0 < 400 for tip in found} == {True, False}


def test_the_bench_card_narrows_the_search() -> None:
    small = DrawnPlug(size=(1024, 768), centre=(530.0, 380.0), rim=26.0)
    there = Hint((522.0, 372.0), px_per_mm=26.0 / 6.25)
    assert overlap(small, there) > 0.5
    elsewhere = Hint((150.0, 650.0), px_per_mm=26.0 / 6.25)
    assert find_tips(draw_plug(small)[0], small.size, elsewhere).tips == ()


@pytest.mark.parametrize("size", [(1, 1), (3, 900), (40, 30)])
def test_tiny_pictures_hold_no_tip(size: tuple[int, int]) -> None:
    picture = np.full((size[1], size[0], 3), 120, np.uint8)
    assert find_tips(picture, size).tips == ()


def test_the_picture_is_left_as_it_was_and_the_search_repeats() -> None:
    plug = DrawnPlug()
    picture, _ = draw_plug(plug)
    before = picture.copy()
    first, second = find_tips(picture, plug.size), find_tips(picture, plug.size)
    assert (picture == before).all()
    assert (first.tips[0].labels == second.tips[0].labels).all()
