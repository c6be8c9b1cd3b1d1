"""Drawn settings: within their ranges, allowed cameras only; crops keep the firing end."""

import numpy as np
import pytest

from pipelines.studio.camera_colour import MOST_DUV
from pipelines.studio.camera_sample import (
    LEAST,
    MOST_EV,
    OFF_METER,
    SMOOTH,
    SPOILT,
    cropped,
    sample_settings,
)


def test_settings_stay_in_their_ranges_and_reach_all_kinds() -> None:
    drawn = [sample_settings(seed, ("A1", "B")) for seed in range(500)]
    assert {s.camera for s in drawn} == {"A1", "B"}
    assert all(50 <= s.jpeg <= 97 for s in drawn)
    assert all(SMOOTH[0] <= s.smooth <= SMOOTH[1] for s in drawn)
    assert {s.white_balance for s in drawn} == {"right", "partial", "wrong"}
    assert {s.curve for s in drawn} == {"s", "none", "film", "flat", "gamma"}
    for field in ("defocus", "local", "sharpen"):
        values = [getattr(s, field) for s in drawn]
        assert min(values) == 0.0 < max(values)
    assert sample_settings(7) == sample_settings(7) != sample_settings(8)
    few = [sample_settings(seed, dim=1.0).electrons for seed in range(200)]
    many = [sample_settings(seed).electrons for seed in range(200)]
    assert np.median(few) == pytest.approx(np.median(many) / 2, rel=0.2)
    assert all(sample_settings(seed, dim=4.0).electrons >= LEAST for seed in range(100))


def test_exposures_are_near_the_meters_and_a_few_are_spoilt() -> None:
    ev = np.array([sample_settings(seed).ev for seed in range(2000)])
    assert np.abs(ev).max() <= SPOILT[1][1]
    # Beyond the meter's own spread only what is spoilt is found, either way.
    beyond = np.abs(ev) > MOST_EV
    far = SPOILT[0] * (SPOILT[1][1] - MOST_EV) / (SPOILT[1][1] - SPOILT[1][0])
    assert beyond.mean() == pytest.approx(far, rel=0.35)
    assert ev.min() < -MOST_EV and ev.max() > MOST_EV
    assert np.subtract(*np.quantile(ev, [0.75, 0.25])) == pytest.approx(1.35 * OFF_METER, rel=0.2)


def test_balances_are_mostly_right_and_never_wild() -> None:
    drawn = [sample_settings(seed) for seed in range(600)]
    kinds = [s.white_balance for s in drawn]
    assert 0.04 < kinds.count("wrong") / 600 < 0.12
    assert kinds.count("right") / 600 > 0.5
    assert all(abs(s.duv) <= MOST_DUV and abs(s.mired) <= 60 for s in drawn)


def test_names_that_are_not_cameras_are_refused() -> None:
    with pytest.raises(KeyError, match="no camera called 'C'"):
        sample_settings(1, ("A", "C"))
    with pytest.raises(ValueError, match="name at least one"):
        sample_settings(1, ())


@pytest.mark.parametrize("box", [(300, 200, 60, 50), (0, 0, 30, 30), (500, 380, 140, 100), None])
def test_crops_keep_the_firing_end_and_stay_inside(box: tuple[int, int, int, int] | None) -> None:
    for seed in range(60):
        settings = cropped(sample_settings(seed), seed, (640, 480), box, 800)
        crop = settings.crop
        assert crop is not None
        assert crop.left >= 0 and crop.left + crop.width <= 640
        assert crop.top >= 0 and crop.top + crop.height <= 480
        assert max(crop.out_width, crop.out_height) <= 800
        if box is not None:
            corners = np.array([[box[0], box[1]], [box[0] + box[2], box[1] + box[3]]])
            seen = crop.points(corners)
            assert seen.min() >= 0
            assert np.all(seen <= np.array([crop.out_width, crop.out_height]) + 1e-9)


def test_share_asked_for_is_met_where_the_render_allows() -> None:
    for share in (0.2, 0.4, 0.7):
        crop = cropped(sample_settings(1), 5, (640, 480), (300, 200, 60, 50), 800, share).crop
        assert crop is not None
        assert 60 / min(crop.width, crop.height) == pytest.approx(share, rel=0.05)
