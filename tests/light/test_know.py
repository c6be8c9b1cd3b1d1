"""The best that is known of the light wins."""

import numpy as np
import pytest

from tipvision.light.know import know_light

SIZE = (1024, 768)
BARE = np.full((768, 1024, 3), 120, np.uint8)


def test_nothing_known_is_an_estimate() -> None:
    light, card = know_light(BARE, SIZE, None, None)
    assert light.source == "estimate" and card is None
    assert light.card_corners is None and light.px_per_mm is None


def test_a_named_lamp_beats_the_estimate() -> None:
    light, card = know_light(BARE, SIZE, "auto", "4000K")
    assert light.source == "declared:4000K" and card is None


@pytest.mark.parametrize("declared", [None, "A"])
def test_a_card_in_the_photo_beats_both(studio, declared: str | None) -> None:
    light, card = know_light(studio.photograph(studio.scene()), SIZE, "manual", declared)
    assert light.source == "bench_card" and card is not None
    assert light.px_per_mm == card.px_per_mm


@pytest.mark.parametrize(("declared", "source"), [(None, "estimate"), ("D50", "declared:D50")])
def test_a_card_without_its_grey_still_gives_the_scale(studio, declared, source: str) -> None:
    photo = studio.photograph(studio.scene(grey=((0.8, 0.8, 0.8),) * 4))
    light, card = know_light(photo, SIZE, "manual", declared)
    assert light.source == source and card is not None
    assert light.px_per_mm == card.px_per_mm
    assert light.card_corners is card.corners


def test_a_wrong_name_is_told_even_with_a_card(studio) -> None:
    with pytest.raises(ValueError, match="moonshine"):
        know_light(studio.photograph(studio.scene()), SIZE, None, "moonshine")
