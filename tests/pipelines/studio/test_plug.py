"""The same seed gives the same plug, and nonsense is refused."""

import pytest

from pipelines.studio.plug import sample_plug


def test_same_seed_same_plug_other_seed_another() -> None:
    assert sample_plug(11, "normal") == sample_plug(11, "normal")
    assert sample_plug(11, "normal") != sample_plug(12, "normal")


def test_unknown_condition_and_thread_are_refused() -> None:
    with pytest.raises(ValueError, match="known: normal"):
        sample_plug(1, "burnt")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="M10"):
        sample_plug(1, "normal", thread=9.0)


def test_only_overheated_plugs_are_burnt_round() -> None:
    for seed in range(30):
        assert sample_plug(seed, "chalk_white").wear > 0.6
        assert sample_plug(seed, "normal").wear < 0.4
        assert sample_plug(seed, "unused").wear == 0.0
