"""What photos share of their errors is found where it is known."""

import numpy as np
import pytest

from pipelines.condition.regression import Settings
from pipelines.condition.same_plug import (
    Photos,
    best_shared,
    halves,
    lines,
    loss,
    main,
    photos_of,
    pooled_logs,
)
from tests.pipelines.condition.made import made_table
from tipvision.condition.condition import CONDITIONS


def made(own: float, common: float, plugs: int = 1500, photos: int = 2) -> Photos:
    """Photos whose ln probabilities are true of noise with these standard deviations: each sees the
    truth's place among five, under what is its own and what all photos of the plug have in common.
    """
    rng = np.random.default_rng(8)
    truth = rng.integers(0, 5, plugs)
    shared = common * rng.standard_normal((plugs, 1, 5))
    seen = np.eye(5)[truth][:, None] + shared + own * rng.standard_normal((plugs, photos, 5))
    scores = seen / (own**2 + common**2)
    logs = scores - np.log(np.exp(scores).sum(axis=2, keepdims=True))
    number = np.repeat(np.arange(plugs), photos)
    return Photos(logs.reshape(-1, 5), np.repeat(truth, photos), number)


def test_photos_that_share_nothing_add_up_and_copies_do_not():
    assert best_shared(made(own=1.0, common=0.0))[0] <= 0.2
    assert best_shared(made(own=1e-6, common=1.0))[0] >= 0.95
    between = best_shared(made(own=0.7, common=0.7))[0]
    assert 0.2 <= between <= 0.8


def test_photos_that_share_nothing_are_worth_more_together():
    photos = made(own=1.0, common=0.0, plugs=300)
    alone = loss(photos.logs, photos.truth).mean()
    assert loss(*pooled_logs(photos, 0.0)).mean() < 0.9 * alone
    told = "\n".join(lines(photos, photos, 0.0))
    assert "plugs 300, photos 600" in told
    assert "difference: -" in told


def test_a_plug_is_in_one_half_alone_and_a_photo_without_another_in_none():
    table = made_table(60)
    photos = photos_of(table, Settings())
    assert photos.logs.shape == (len(photos.truth), len(CONDITIONS))
    assert all(len(rows) == 2 for rows in photos.plugs())
    lonely = {k // 2 for k in range(0, 120, 10)}  # the other photo of these is blurred
    assert not lonely & set((photos.plug // 16).tolist())
    first, second = halves(photos)
    assert not set(first.plug) & set(second.plug)
    assert len(first.truth) + len(second.truth) == len(photos.truth)


def test_a_missing_file_is_one_line(capsys):
    assert main(["--rows", "gone.npz"]) == 1
    assert "gone.npz" in capsys.readouterr().err


def test_the_rows_must_be_given():
    with pytest.raises(SystemExit):
        main([])
