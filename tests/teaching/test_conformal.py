"""Sets cover what they promise, and a plug counts once however often it was photographed."""

import numpy as np
import pytest

from tipvision.teaching.conformal import least_probability

RNG = np.random.default_rng(8)


@pytest.mark.parametrize("count", [19, 40, 57, 200])
def test_one_photo_a_plug_gives_the_threshold_of_split_conformal_prediction(count):
    """Published rule, computed anew: the k-th smallest with k = floor((n + 1) / 20)."""
    chances = RNG.random(count)
    found = least_probability(chances, np.arange(count), 0.95)
    assert found == np.sort(chances)[int((count + 1) * 0.05 + 1e-9) - 1]


@pytest.mark.parametrize("count", [25, 100, 399])
def test_the_sets_are_those_of_crepes(count):
    """Reference library: crepes."""
    crepes = pytest.importorskip("crepes")
    held, new = RNG.random(count), RNG.random(60)
    classifier = crepes.ConformalClassifier().fit(1 - held)
    theirs = classifier.predict_set((1 - new)[:, None], confidence=0.95, smoothing=False)[:, 0]
    ours = new >= least_probability(held, np.arange(count), 0.95)
    np.testing.assert_array_equal(ours, theirs.astype(bool))


def test_fewer_than_nineteen_plugs_leave_the_label_in_every_set():
    assert least_probability(RNG.random(18), np.arange(18), 0.95) == 0.0
    assert least_probability(np.empty(0), np.empty(0, np.int64), 0.95) == 0.0


def test_many_photos_of_one_plug_are_no_more_proof_than_one():
    chances = RNG.random(60)
    again = np.concatenate([chances, np.repeat(chances[:1], 500)])
    plugs = np.concatenate([np.arange(60), np.zeros(500, np.int64)])
    once = least_probability(chances, np.arange(60), 0.95)
    assert least_probability(again, plugs, 0.95) == once


def test_new_plugs_are_covered_as_often_as_promised_with_photos_that_hang_together():
    covered = []
    for _ in range(400):
        own = RNG.normal(size=101)
        photos = 1 / (1 + np.exp(-(own[:, None] + 0.3 * RNG.normal(size=(101, 4)))))
        plugs = np.repeat(np.arange(100), 4)
        least = least_probability(photos[:100].ravel(), plugs, 0.95)
        covered.append(photos[100, 0] >= least)
    # 400 draws at 0.95: three standard errors
    assert np.mean(covered) >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / 400)
