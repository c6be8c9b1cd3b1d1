"""What is kept of a nose comes back as the tool sees it."""

from pathlib import Path

import numpy as np
import pytest

from pipelines.coat.crops import crop_of, read_crops, write_crops
from pipelines.condition.rows import noses_of
from pipelines.tip_net.listing import listed
from tipvision.measure.coat_view import coat_view, cut_round, doubt_of

SAMPLE = Path(__file__).parents[3] / "synthetic_images" / "sample"
FEW = 4


@pytest.fixture(scope="module")
def noses():
    found = []
    for entry in listed([SAMPLE]):
        found += noses_of(entry, guesses=True)
        if len(found) >= FEW:
            return found
    raise AssertionError("the sample shows too few noses")


def test_views_come_back_but_for_what_jpeg_costs(noses, tmp_path) -> None:
    kept = [crop_of(nose) for nose in noses]
    assert write_crops(tmp_path / "a.npz", kept) == len(noses)
    assert write_crops(tmp_path / "b.npz", kept[:1]) == 1
    back = read_crops([tmp_path / "a.npz", tmp_path / "b.npz"])
    assert len(back.cuts) == len(back.lights) == len(noses) + 1
    for k, nose in enumerate([*noses, noses[0]]):
        wanted = coat_view(cut_round(nose.window.linear, nose.tip.labels), nose.light.correction)
        found = coat_view(back.cuts[k], back.lights[k])
        assert np.abs(found[:3] - wanted[:3]).mean() < 0.01
        np.testing.assert_allclose(found[3:], wanted[3:], atol=1e-6)
        np.testing.assert_allclose(back.doubt[k], doubt_of(nose.light))


def test_a_nose_under_two_lights_is_stored_once(noses, tmp_path) -> None:
    crop = crop_of(noses[0])
    write_crops(tmp_path / "one.npz", [crop])
    write_crops(tmp_path / "two.npz", [crop, crop])
    assert (tmp_path / "two.npz").stat().st_size < (tmp_path / "one.npz").stat().st_size * 1.5
