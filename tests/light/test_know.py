"""The best that is known of the light wins."""

from dataclasses import replace

import numpy as np
import pytest
from PIL.ExifTags import Base

from tipvision.light.know import know_light
from tipvision.light.said import LightError, Said
from tipvision.photo.photo import open_photo

SILENT = Said()
BARE = np.full((768, 1024, 3), 120, np.uint8)


def light_of(photo, said: Said = SILENT):
    return know_light(photo, photo.overview(), said)


def test_nothing_known_is_an_estimate(saved) -> None:
    light, card = light_of(saved(BARE))
    assert light.source == "estimate" and card is None
    assert light.card_corners is None and light.px_per_mm is None
    assert not light.level_known


def test_a_named_lamp_beats_the_estimate(saved) -> None:
    light, card = light_of(saved(BARE), Said(declared="4000K"))
    assert light.source == "declared:4000K" and card is None


def test_a_stored_light_beats_a_named_lamp(saved, stored) -> None:
    light, _ = light_of(saved(BARE), Said(declared="4000K", stored=stored))
    assert light.source == "stored:bench"


def test_a_grey_card_that_is_pointed_at_beats_a_stored_light(saved, stored) -> None:
    light, _ = light_of(saved(BARE), Said(stored=stored, grey_point=(500, 400)))
    assert light.source == "grey_card" and light.level_known


@pytest.mark.parametrize("declared", [None, "A"])
def test_a_card_in_the_photo_beats_what_is_said(studio, saved, stored, declared) -> None:
    photo = saved(studio.photograph(studio.scene()))
    light, card = light_of(photo, Said(declared, stored, grey_point=(500, 400)))
    assert light.source == "bench_card" and card is not None
    assert light.px_per_mm == card.px_per_mm


def test_a_chart_beats_everything_and_says_how_well_it_fits(chart_photo, stored) -> None:
    light, _ = light_of(open_photo(str(chart_photo)), Said("A", stored, grey_point=(5, 5)))
    assert light.source == "chart" and light.level_known
    assert 0.0 < light.residual < 3.0


def test_the_wrong_edition_of_the_chart_fits_worse(chart_photo) -> None:
    photo = open_photo(str(chart_photo))
    light, _ = light_of(photo)
    older, _ = light_of(photo, Said(chart_edition="before_2014_11"))
    assert older.residual != light.residual


@pytest.mark.parametrize(("declared", "source"), [(None, "estimate"), ("D50", "declared:D50")])
def test_a_card_without_its_grey_still_gives_the_scale(studio, saved, declared, source) -> None:
    photo = saved(studio.photograph(studio.scene(grey=((0.8, 0.8, 0.8),) * 4)))
    light, card = light_of(photo, Said(declared))
    assert light.source == source and card is not None
    assert light.px_per_mm == card.px_per_mm
    assert light.card_corners is card.corners


def test_a_fixed_white_balance_reaches_the_declared_light(saved) -> None:
    fixed, _ = light_of(saved(BARE, {Base.WhiteBalance: 1}), Said("A"))
    moved, _ = light_of(saved(BARE, {Base.WhiteBalance: 0}), Said("A"))
    assert not np.allclose(fixed.correction.matrix, moved.correction.matrix)


@pytest.mark.parametrize("said", [Said("moonshine"), Said(chart_edition="moonshine")])
def test_a_wrong_name_is_told_even_with_a_card(studio, saved, said) -> None:
    with pytest.raises(ValueError, match="moonshine"):
        light_of(saved(studio.photograph(studio.scene())), said)


@pytest.mark.parametrize("point", [(-1.0, 5.0), (1024.0, 5.0), (5.0, 900.0)])
def test_a_point_outside_the_photo_is_told(saved, point) -> None:
    with pytest.raises(LightError, match="outside this photo of 1024 x 768"):
        light_of(saved(BARE), Said(grey_point=point))


@pytest.mark.parametrize(
    ("picture", "why"),
    [
        (np.full_like(BARE, 255), "burnt out"),
        (np.full_like(BARE, 3), "too dark"),
        (np.random.default_rng(1).integers(0, 256, BARE.shape, np.uint8), "nothing even"),
    ],
)
def test_a_grey_card_that_cannot_be_used_is_noted_and_left(saved, picture, why) -> None:
    light, _ = light_of(saved(picture), Said(grey_point=(500, 400)))
    assert light.source == "estimate"
    assert [why in note for note in light.notes] == [True]


def test_a_mismatch_of_the_stored_light_gates(saved, stored) -> None:
    then = replace(stored.taken_with, white_balance="manual")
    photo = saved(BARE, {Base.WhiteBalance: 0})
    light, _ = light_of(photo, Said(stored=replace(stored, taken_with=then)))
    assert [reason.code for reason in light.reasons] == ["light_mismatch"]
