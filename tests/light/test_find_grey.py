"""A grey card is found where it is plain to see, and nothing else is taken for one."""

import numpy as np
import pytest

from tests.light.grey_photo import BENCH, CARD, GREY, HIGH, WIDE, photo
from tipvision.light.find_grey import find_grey_card

TILES = tuple((CARD * 0.3 + [120 * k, 10], (0.1 * k, 0.1, 0.2)) for k in range(1, 4))


@pytest.mark.parametrize("gains", [(1.0, 1.0, 1.0), (1.1, 1.0, 0.8), (0.5, 0.5, 0.5)])
@pytest.mark.parametrize("seed", [0, 1])
def test_a_card_on_the_bench_is_found_where_it_lies(gains, seed: int) -> None:
    found = find_grey_card(photo((CARD, GREY), gains=gains, seed=seed), (2 * WIDE, 2 * HIGH))
    assert found is not None
    for corner in 2 * CARD:  # displayed pixels; the sheet is cut a little short at its edge
        assert np.linalg.norm(found.quad - corner, axis=1).min() < 40


@pytest.mark.parametrize(
    "sheets",
    [
        (),
        ((CARD, (0.75, 0.75, 0.75)),),  # paper
        ((CARD, (0.3, 0.12, 0.05)),),  # leather
        ((CARD, (0.008, 0.008, 0.008)),),  # a black tray
        ((CARD, tuple(1.02 * c for c in BENCH)),),  # the bench itself
        ((CARD - [0, 200], GREY),),  # cut off by the frame
        ((CARD * [0.3, 0.3] + [100, 100], GREY),),  # a tile
        ((CARD * 0.6, GREY), (CARD * 0.6 + [200, 200], GREY)),  # two of a kind
        (*TILES, (CARD * 0.8 + [0, 150], GREY)),  # a printed sheet
    ],
)
def test_other_things_are_not_taken_for_one(sheets) -> None:
    assert find_grey_card(photo(*sheets), (WIDE, HIGH)) is None


def test_a_textured_sheet_is_not_one() -> None:
    assert find_grey_card(photo((CARD, GREY), texture=0.1), (WIDE, HIGH)) is None


def test_a_round_lid_is_not_one() -> None:
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    lid = np.stack([400 + 120 * np.cos(turn), 260 + 120 * np.sin(turn)], axis=1)
    assert find_grey_card(photo((lid, GREY)), (WIDE, HIGH)) is None


@pytest.mark.parametrize("shape", [(1, 1, 3), (5, 900, 3), (600, 800, 3)])
@pytest.mark.parametrize("code", [0, 120, 255])
def test_photos_of_nothing_hold_none(shape, code: int) -> None:
    assert find_grey_card(np.full(shape, code, np.uint8), (WIDE, HIGH)) is None


@pytest.mark.parametrize("seed", range(5))
def test_noise_holds_none(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (HIGH, WIDE, 3), np.uint8)
    assert find_grey_card(noise, (WIDE, HIGH)) is None
