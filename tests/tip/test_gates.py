"""The quality gates, each fired by a fault and silent on a good photo."""

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from pipelines.tip_net.classical.find import find_tips
from tests.tip.drawn_plug import NOSE_ALBEDO, DrawnPlug, draw_plug
from tipvision.colour.srgb import linear_table
from tipvision.photo.photo import CEILING
from tipvision.record.reason import Reason
from tipvision.tip.gates import LEAST_NOSE_PX, gates
from tipvision.tip.labels import with_glare
from tipvision.tip.tip import Part, Tip

GOOD = DrawnPlug()


@cache
def found(plug: DrawnPlug = GOOD) -> Tip:
    return find_tips(draw_plug(plug)[0], plug.size).tips[0]


def codes(tip: Tip, plug: DrawnPlug) -> list[str]:
    """The gates that fire on `tip` in the photo of `plug`."""
    picture, _ = draw_plug(plug)
    box = tip.box
    crop = picture[box.y0 : box.y1, box.x0 : box.x1]
    burnt = (crop >= CEILING).any(axis=2)
    return codes_of(gates(tip, linear_table()[crop], burnt))


@pytest.mark.parametrize("condition", NOSE_ALBEDO)
@pytest.mark.parametrize("rim", [60.0, 200.0])
def test_nothing_speaks_against_a_good_photo(condition: str, rim: float) -> None:
    plug = replace(GOOD, condition=condition, rim=rim)
    assert codes(found(plug), plug) == []


@pytest.mark.parametrize("condition", NOSE_ALBEDO)
def test_a_blurred_photo_is_refused_whatever_the_nose(condition: str) -> None:
    plug = replace(GOOD, condition=condition)
    tip = found(plug)
    assert "blurred" in codes(tip, replace(plug, blur=0.07 * tip.nose_px))


def test_noise_does_not_hide_blur() -> None:
    tip = found()
    assert "blurred" in codes(tip, replace(GOOD, blur=0.07 * tip.nose_px, noise=0.03))


def test_a_dark_photo_is_refused() -> None:
    assert codes(found(), replace(GOOD, light=0.006)) == ["too_dark"]


def test_a_burnt_out_nose_is_refused() -> None:
    plug = replace(GOOD, condition="chalk_white")
    assert "clipped" in codes(found(plug), replace(plug, light=3.0))


def test_glare_is_refused() -> None:
    tip = found()
    picture = np.full((600, 800, 3), 90, np.uint8)
    picture[:, 410:] = 255
    shining = replace(tip, labels=with_glare(tip.labels, tip.box, picture, 1.0))
    assert (shining.labels == Part.GLARE).any()
    assert codes(shining, GOOD) == ["glare"]


def test_a_small_nose_is_refused_unless_a_person_outlined_it() -> None:
    small = replace(found(replace(GOOD, rim=60.0)), nose_px=LEAST_NOSE_PX - 1.0)
    plug = replace(GOOD, rim=60.0)
    assert "too_small" in codes(small, plug)
    assert "too_small" not in codes(replace(small, by_hand=True), plug)


def test_a_hidden_nose_is_refused_with_its_share() -> None:
    tip = replace(found(), visible=0.12)
    shape = tip.labels.shape
    window = np.full((*shape, 3), 0.3, np.float32)
    (only,) = gates(tip, window, np.zeros(shape, np.bool_))
    assert only.code == "tip_hidden"
    assert "12 %" in only.text


def test_a_tip_without_any_nose_is_hidden() -> None:
    tip = found()
    bare = replace(tip, labels=np.zeros_like(tip.labels))
    assert codes(bare, GOOD) == ["tip_hidden"]


@pytest.mark.parametrize("blur", [0.0, 0.02, 0.06, 0.09])
def test_a_coarser_window_comes_to_the_same_verdict(blur: float) -> None:
    plug = replace(GOOD, rim=200.0)
    tip = found(plug)
    picture, _ = draw_plug(replace(plug, blur=blur * tip.nose_px))
    box = tip.box
    crop = linear_table()[picture[box.y0 : box.y1, box.x0 : box.x1]]
    verdicts = []
    for step in (1, 2, 3):
        size = (crop.shape[1] // step, crop.shape[0] // step)
        seen = cv2.resize(crop, size, interpolation=cv2.INTER_AREA)
        verdicts.append(codes_of(gates(tip, seen, np.zeros(seen.shape[:2], np.bool_))))
    assert verdicts[0] == verdicts[1] == verdicts[2]
    assert ("blurred" in verdicts[0]) == (blur > 0.05)


def codes_of(reasons: tuple[Reason, ...]) -> list[str]:
    return [reason.code for reason in reasons]
