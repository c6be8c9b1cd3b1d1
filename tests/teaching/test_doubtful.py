"""Wrong labels come first."""

from dataclasses import replace

import numpy as np

from tests.teaching.made import knowing_model, made_rows
from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.doubtful import doubts, opinion_of, ranking
from tipvision.teaching.teach import teach


def test_flipped_labels_are_found_first():
    rows = made_rows(300)
    rng = np.random.default_rng(1)
    wrong = rng.choice(300, 30, replace=False)
    label = rows.label.copy()
    for k in wrong:
        label[k] = rng.choice([name for name in CONDITIONS if name != label[k]])
    noisy = replace(rows, label=label)
    opinion = opinion_of(teach(noisy, knowing_model(), "x", "1"))
    first = ranking(noisy, opinion)[:45]
    assert np.isin(wrong, first).mean() > 0.85
    found = doubts(noisy, opinion)
    assert 25 <= len(found) <= 45
    assert all(one.other_likely > one.label_likely for one in found)
    assert [one.doubt for one in found] == sorted((one.doubt for one in found), reverse=True)


def test_no_label_is_listed_that_nothing_speaks_against():
    rows = made_rows(20)
    sure = np.full((20, 5), 0.05)
    sure[np.arange(20), [CONDITIONS.index(name) for name in rows.label]] = 0.8
    assert doubts(rows, np.log(sure)) == ()


def test_photos_of_a_plug_speak_together():
    rows = made_rows(20, photos=2)
    sure = np.full((40, 5), 0.1)
    sure[np.arange(40), [CONDITIONS.index(name) for name in rows.label]] = 0.6
    wrong = CONDITIONS.index("unused")
    sure[0] = 0.05
    sure[0, wrong] = 0.8  # one of two photos of the first plug, strongly
    sure[2:4] = 0.1
    sure[2:4, wrong] = 0.6  # both of the second
    found = doubts(rows, np.log(sure))
    assert [one.photo for one in found] == ["2.jpg", "3.jpg", "0.jpg", "1.jpg"]
