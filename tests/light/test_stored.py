"""A stored light gives colours at any exposure, and knows when it does not belong."""

from dataclasses import replace

import numpy as np
import pytest

from tests.stored_sample import PLUG
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.doubt import EXPOSURE_SD
from tipvision.light.stored import (
    FARTHEST_CAST,
    conditions_of,
    exposure_of,
    light_of_stored,
    mismatches,
)
from tipvision.photo.metadata import Metadata
from tipvision.photo.photo import open_photo

TAN = np.array([0.2, 0.15, 0.1])


def test_exposure_is_time_times_iso_over_aperture_squared() -> None:
    told = Metadata(exposure_s=0.01, iso=200.0, f_number=2.0)
    assert exposure_of(told) == pytest.approx(0.5)
    for field in ("exposure_s", "iso", "f_number"):
        assert exposure_of(replace(told, **{field: None})) is None
        assert exposure_of(replace(told, **{field: 0.0})) is None


@pytest.mark.parametrize("stops", [-2.0, -1.0, 1.0, 2.0])
def test_lightness_is_carried_over_by_the_exposure(stored, stops: float) -> None:
    """The same nose, photographed `stops` brighter as EXIF tells, has the same colour."""
    flat = replace(stored, correction=stored.correction.linear(np.eye(3)))
    now = replace(stored.taken_with, exposure=stored.taken_with.exposure * 2.0**stops)
    light = light_of_stored(flat, now)
    same = light_of_stored(flat, stored.taken_with)
    labs = [
        xyz_to_lab(known.correction.xyz(rgb))
        for known, rgb in ((light, TAN * 2.0**stops), (same, TAN))
    ]
    assert ciede2000(*labs) < 1e-6
    assert light.level_known and light.notes == ()


def test_without_exposure_lightness_is_doubtful_and_says_so(stored) -> None:
    now = replace(stored.taken_with, exposure=None)
    blind, sure = light_of_stored(stored, now), light_of_stored(stored, stored.taken_with)
    assert not blind.level_known and sure.level_known
    assert "lightness is doubtful" in blind.notes[0]
    spread = [np.log(known.samples.xyz(TAN)[:, 1]).std() for known in (blind, sure)]
    assert spread[0] == pytest.approx(EXPOSURE_SD, rel=0.1)
    assert spread[1] < 0.15


def test_an_automatic_balance_leaves_more_doubt_than_a_fixed_one(stored) -> None:
    def cast(balance: str) -> float:
        conditions = replace(stored.taken_with, white_balance=balance)
        light = light_of_stored(replace(stored, taken_with=conditions), conditions)
        xyz = light.samples.xyz(TAN)
        return float(np.log(xyz[:, 2] / xyz[:, 1]).std())

    assert cast("manual") < cast("auto")


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"model": "Bench camera 2"}, "camera"),
        ({"flash_fired": True}, "flash"),
        ({"white_balance": "auto"}, "white balance"),
        ({"cast": np.array([FARTHEST_CAST + 0.01, 0.0, 0.0])}, "cast"),
    ],
)
def test_what_differs_is_named(stored, change, what: str) -> None:
    then = replace(stored.taken_with, white_balance="manual", cast=np.zeros(3))
    (found,) = mismatches(then, replace(then, **change))
    assert what in found
    light = light_of_stored(replace(stored, taken_with=then), replace(then, **change))
    assert [reason.code for reason in light.reasons] == ["light_mismatch"]
    assert found in light.reasons[0].text


def test_what_is_not_told_speaks_neither_way(stored) -> None:
    silent = replace(stored.taken_with, maker=None, model=None, flash_fired=None)
    assert mismatches(stored.taken_with, replace(silent, white_balance=None)) == ()
    assert mismatches(silent, stored.taken_with) == ()


def test_the_plugs_photo_under_the_same_lamp_matches(stored) -> None:
    photo = open_photo(str(PLUG))
    assert mismatches(stored.taken_with, conditions_of(photo.metadata, photo.overview())) == ()
