"""A person's outline: what may be written, and what it becomes."""

import numpy as np
import pytest

from tests.tip.drawn_plug import DrawnPlug, draw_plug
from tipvision.photo.photo import open_photo
from tipvision.shipped import demo_folder
from tipvision.tip.labels import mask_image
from tipvision.tip.outline import Outline, outlined, parse_outline
from tipvision.tip.search import parts_round, search_tips
from tipvision.tip.tip import Part

GREY = np.full((300, 400, 3), 128, np.uint8)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "circle or a polygon"),
        ("square:1,2,3", "circle or a polygon"),
        ("circle:10,20", "three numbers, not 2"),
        ("circle:10,20,x", "other than numbers"),
        ("circle:10,20,0", "above zero"),
        ("circle:10,20,-4", "above zero"),
        ("circle:10,20,inf", "plain number"),
        ("circle:nan,20,4", "plain number"),
        ("polygon:", "three corners"),
        ("polygon:1,2 3,4", "three corners"),
        ("polygon:1,2 3,4 5", "X,Y"),
        ("polygon:1,2 3,4 5,six", "other than numbers"),
    ],
)
def test_a_wrong_outline_is_refused_with_the_right_form(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says) as caught:
        parse_outline(text)
    assert "circle:X,Y,R" in str(caught.value)


def test_a_circle_becomes_a_tip_by_hand() -> None:
    tip = outlined(parse_outline("circle:400,300,80"), GREY, (800, 600))
    assert (tip.by_hand, tip.sure, tip.view, tip.visible) == (True, 1.0, None, 1.0)
    assert tip.nose_px == pytest.approx(160, rel=0.01)
    mask = mask_image((tip,), (800, 600))
    assert set(np.unique(mask)) == {0, 255}
    assert (mask == 255).sum() == pytest.approx(np.pi * 80**2, rel=0.02)  # area of a disc


def test_dark_pixels_within_the_outline_stay_nose() -> None:
    picture = GREY.copy()
    picture[140:160, 190:210] = 5
    tip = outlined(parse_outline("polygon:150,100 250,100 250,200 150,200"), picture, (400, 300))
    mask = mask_image((tip,), (400, 300))
    assert (mask[145:155, 195:205] == Part.NOSE).all()
    assert (mask == Part.NOSE).sum() == pytest.approx(100 * 100, rel=0.04)


def test_glare_within_the_outline_is_marked() -> None:
    picture = np.full((300, 400, 3), 60, np.uint8)
    picture[140:160, 190:210] = 255
    tip = outlined(parse_outline("circle:200,150,60"), picture, (400, 300))
    mask = mask_image((tip,), (400, 300))
    assert (mask == Part.GLARE).sum() == pytest.approx(400, rel=0.2)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("circle:900,300,20", "leaves the photo"),
        ("circle:10,300,20", "leaves the photo"),
        ("polygon:10,10 20,20 30,30", "no area"),
        ("circle:100,100,0.5", "no area"),
    ],
)
def test_an_outline_off_the_photo_or_without_area_is_refused(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        outlined(parse_outline(text), GREY, (800, 600))


def test_the_outline_of_a_drawn_nose_is_taken_as_it_is() -> None:
    plug = DrawnPlug()
    tip = outlined(parse_outline("circle:400,300,70"), draw_plug(plug)[0], plug.size)
    assert np.ptp(tip.outlines[0], axis=0) == pytest.approx([140, 140], abs=3)


def test_the_parts_round_an_outlined_nose_are_seen_and_the_nose_stays_as_it_was_drawn() -> None:
    photo = open_photo(str(demo_folder() / "tb-07-a.jpg"))
    overview = photo.overview()
    (found,) = search_tips(overview, photo.size).tips
    ring = max(found.outlines, key=len)
    drawn = outlined(Outline(ring), overview, photo.size)
    tip = parts_round(drawn, overview, photo.size)
    assert {Part.SHELL, Part.STRAP} <= set(np.unique(tip.labels).tolist())
    assert (tip.nose_px, tip.outlines, tip.by_hand) == (drawn.nose_px, drawn.outlines, True)
    shares = [
        float(np.isin(one.labels, (Part.NOSE, Part.GLARE)).mean() * one.box.width * one.box.height)
        for one in (drawn, tip)
    ]
    assert shares[1] == pytest.approx(shares[0], rel=0.03)


def test_where_no_firing_end_is_an_outline_stays_alone() -> None:
    overview = np.full((400, 400, 3), 120, np.uint8)
    drawn = outlined(parse_outline("circle:200,200,60"), overview, (400, 400))
    assert parts_round(drawn, overview, (400, 400)) is drawn
