"""Advice on the next photo names only what this one has not got."""

from dataclasses import replace

import numpy as np
import pytest

from tipvision.condition.retake import AGAIN, LARGE_PX, retake
from tipvision.light.declared import declared_light
from tipvision.light.estimate import estimated_light
from tipvision.photo.box import Box
from tipvision.tip.tip import Tip

GUESSED = estimated_light(np.full((8, 8, 3), 120, np.uint8))
BEST = Tip(Box(0, 0, 9, 9), np.zeros((9, 9), np.uint8), (), LARGE_PX, "end_on", 1.0, by_hand=True)


@pytest.mark.parametrize("source", ["chart", "bench_card", "grey_card", "stored:bench"])
def test_a_photo_that_has_it_all_is_only_lit_otherwise(source: str) -> None:
    assert retake(BEST, replace(GUESSED, source=source)) == AGAIN


def test_what_is_missing_is_asked_for_and_nothing_else() -> None:
    known = replace(GUESSED, source="chart")
    assert retake(replace(BEST, nose_px=LARGE_PX - 1), known) == f"closer, {AGAIN}"
    for view in ("oblique", "side", None):
        assert retake(replace(BEST, view=view), known) == f"from straight ahead, {AGAIN}"
    assert "outline" in retake(replace(BEST, by_hand=False), known)
    for light in (GUESSED, declared_light("4000K", "manual", None)):
        told = retake(BEST, light)
        assert "grey card" in told
        assert "outline" not in told
        assert "closer" not in told
