"""What teaches and what does not: the tool's own reading decides."""

import numpy as np
import pytest

from tipvision.condition.features import ONCE, UNDER_LIGHT, features_of
from tipvision.condition.model import default_model
from tipvision.light.said import Said
from tipvision.measure.bands import load_bands
from tipvision.reading import read
from tipvision.shipped import demo_folder
from tipvision.teaching.photos import Labelled
from tipvision.teaching.rows import OF_THE_MODEL, measured


@pytest.fixture(scope="module")
def demo():
    photos = [
        Labelled(path, "normal", path.name)
        for path in sorted(demo_folder().glob("*.jpg"))
        if not path.name.endswith(".light.jpg")
    ]
    return photos, *measured(photos, np.arange(len(photos)), Said(), default_model())


def test_every_photo_is_a_row_or_is_listed_with_its_reason(demo):
    photos, rows, left_out = demo
    kept = set(rows.photo.tolist())
    assert kept | {str(one.photo) for one in left_out} == {str(one.path) for one in photos}
    assert len(kept) + len(left_out) == len(photos)
    for one in left_out:
        codes = {reason.code for reason in read(str(one.photo))[0].reasons}
        assert one.code in codes - OF_THE_MODEL
        assert one.why


def test_a_row_holds_what_the_reading_measured(demo):
    photos, rows, _ = demo
    assert len(rows) > 0
    assert rows.under_light.shape[1:] == (64, len(UNDER_LIGHT))
    assert rows.once.shape[1:] == (len(ONCE),)
    (reading,) = read(str(rows.photo[0]))
    features = features_of(reading.measurement, load_bands())
    np.testing.assert_allclose(rows.features(0).under_light, features.under_light, rtol=1e-5)
    np.testing.assert_allclose(rows.features(0).once, features.once, rtol=1e-5)
    assert rows.plug[0] == [str(one.path) for one in photos].index(str(rows.photo[0]))


def test_draws_are_evenly_picked_and_rows_chosen(demo):
    _, rows, _ = demo
    assert rows.values(4).shape == (len(rows), 4, len(UNDER_LIGHT) + len(ONCE))
    np.testing.assert_array_equal(
        rows.values(4)[:, :, : len(UNDER_LIGHT)], rows.under_light[:, ::16]
    )
    assert len(rows.where(np.array([0]))) == 1


def test_no_photo_that_can_be_measured_is_no_row_and_no_error(tmp_path, photo):
    path = photo(tmp_path / "noise.jpg", 1)
    rows, left_out = measured(
        [Labelled(path, "normal", "x")], np.zeros(1, np.int64), Said(), default_model()
    )
    assert len(rows) == 0
    assert left_out[0].photo == path
