"""Label maps and the picture of them."""

import numpy as np

from pipelines.tip_net.classical.find import find_tips
from tests.tip.drawn_plug import DrawnPlug, draw_plug
from tipvision.photo.box import Box
from tipvision.tip.labels import mask_image
from tipvision.tip.tip import Part, Tip


def test_the_mask_has_the_displayed_size_and_only_known_labels() -> None:
    plug = DrawnPlug()
    tips = find_tips(draw_plug(plug)[0], (1600, 1200)).tips
    mask = mask_image(tips, (1600, 1200))
    assert mask.shape == (1200, 1600)
    assert mask.dtype == np.uint8
    known = {int(part) for part in Part}
    assert set(np.unique(mask)) <= known
    # seen end-on the strap may hide the whole electrode
    assert {Part.NOSE, Part.SHELL, Part.STRAP, Part.NOTHING} <= set(np.unique(mask))


def test_no_tips_make_an_empty_mask() -> None:
    assert not mask_image((), (30, 20)).any()


def test_glare_on_a_dark_nose_is_marked_and_stays_in_the_outline() -> None:
    plug = DrawnPlug(condition="wet_black", light=1.3)
    tip = find_tips(draw_plug(plug)[0], plug.size).tips[0]
    assert (tip.labels == Part.GLARE).any()
    assert not (find_tips(draw_plug(DrawnPlug())[0], plug.size).tips[0].labels == Part.GLARE).any()


def test_the_strap_hides_part_of_the_nose() -> None:
    tip = find_tips(draw_plug(DrawnPlug())[0], DrawnPlug().size).tips[0]
    assert 0.4 < tip.visible < 0.9


def test_where_boxes_overlap_a_part_wins_over_nothing() -> None:
    nose = np.full((4, 4), Part.NOSE, np.uint8)
    empty = np.zeros((4, 4), np.uint8)
    tips = tuple(Tip(Box(0, 0, 8, 8), m, (), 8.0, "end_on", 1.0) for m in (nose, empty))
    assert (mask_image(tips, (8, 8)) == Part.NOSE).all()
