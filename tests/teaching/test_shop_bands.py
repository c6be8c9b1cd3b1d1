"""Bands of the shop: plugs count once, and only what the shop has is told."""

import numpy as np

from tests.teaching.made import made_rows
from tipvision.measure.bands import load_bands
from tipvision.teaching.shop_bands import shop_bands


def test_bands_are_of_plugs_and_lie_beside_the_reference():
    once, thrice = made_rows(50), made_rows(50, photos=3)
    found = {band.name: band for band in shop_bands(thrice, load_bands())}
    assert set(found) == {"normal", "dry_black", "wet_black", "chalk_white"}
    for band in shop_bands(once, load_bands()):
        assert found[band.name] == band
        assert band.n == 10
    normal = found["normal"]
    reference = next(band for band in load_bands() if band.name == "normal")
    assert normal.default_mean == tuple(reference.mean)
    assert normal.apart > 0


def test_one_plug_has_no_spread_and_a_missing_condition_no_band():
    rows = made_rows(5)
    rows = rows.where(np.isin(rows.label, ("normal", "unused")))
    (band,) = shop_bands(rows, load_bands())
    assert band.name == "normal"
    assert np.isnan(band.sd).all()
