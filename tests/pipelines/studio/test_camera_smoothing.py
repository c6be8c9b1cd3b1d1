"""Smoothing: less grain, the same means, edges as steep as before, no stray pixels."""

import cv2
import numpy as np
import pytest

from pipelines.studio.camera_smoothing import STRAY, grain, smoothed, without_strays

HEIGHT, WIDTH, RADIUS = 96, 128, 20


def _scene(nose: list[float], around: list[float], seed: int) -> tuple[np.ndarray, ...]:
    """A round nose on a ground: light without grain, with it (as of 25 paths), and the nose."""
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    inside = np.hypot(y - HEIGHT / 2, x - WIDTH / 2) < RADIUS
    light = np.where(inside[..., None], np.array(nose), np.array(around)).astype(np.float32)
    paths = np.random.default_rng(seed).gamma(25.0, 1 / 25.0, (HEIGHT, WIDTH, 1))
    return light, (light * paths).astype(np.float32), inside


SCENES = (
    ([0.60, 0.58, 0.55], [0.05, 0.05, 0.06]),
    ([0.02, 0.02, 0.02], [0.45, 0.44, 0.40]),
    ([0.30, 0.22, 0.15], [0.25, 0.25, 0.25]),
)


@pytest.mark.parametrize(("nose", "around"), SCENES)
def test_grain_goes_and_the_colour_of_the_nose_stays(
    nose: list[float], around: list[float]
) -> None:
    _, seen, inside = _scene(nose, around, 1)
    for strength in (0.12, 0.6):
        shown = smoothed(seen, strength)
        ratio = shown[inside].mean(axis=0) / seen[inside].mean(axis=0)
        assert np.abs(ratio - 1).max() < 0.005
        middle = np.s_[HEIGHT // 2 - 10 : HEIGHT // 2 + 10, WIDTH // 2 - 10 : WIDTH // 2 + 10]
        # Noise goes, but for faint colours that a phone would take for detail.
        before, after = (p[middle][..., 1].std() for p in (seen, shown))
        assert after < 0.8 * before
    assert after < 0.5 * before
    assert shown[:, :20, 1].std() < 0.4 * seen[:, :20, 1].std()


@pytest.mark.parametrize(("nose", "around"), SCENES[:2])
def test_edges_stay_as_steep(nose: list[float], around: list[float]) -> None:
    light, seen, _ = _scene(nose, around, 2)
    shown = smoothed(seen, 0.6)
    row = HEIGHT // 2
    for side in (-1, 1):
        at = WIDTH // 2 + side * RADIUS
        across = np.s_[row - 4 : row + 5, at - 6 : at + 7, 1]
        before, after = (np.abs(np.diff(p[across].mean(axis=0))).max() for p in (light, shown))
        assert after > 0.9 * before


def test_without_strength_or_grain_nothing_changes() -> None:
    light, seen, _ = _scene(*SCENES[0], 3)
    assert smoothed(seen, 0.0) is seen
    assert smoothed(light, 0.6) == pytest.approx(light, rel=2e-3, abs=1e-4)
    black = np.zeros((40, 40, 3))
    with np.errstate(all="raise"):
        assert (smoothed(black, 0.6) == black).all()


def test_stray_pixels_come_down_with_their_hue_and_lines_and_the_rest_stay() -> None:
    light = np.full((40, 40, 3), [0.05, 0.04, 0.02], np.float32)
    light[5, 5] *= 2
    light[10] *= 2.9
    whole = light.copy()
    light[20, 20] *= 200
    calm, known = without_strays(light)
    assert calm[20, 20] == pytest.approx(whole[20, 20], rel=0.01)
    assert 0.04 * STRAY[1] < known[20, 20, 1] < 0.04 * 200
    assert known[20, 20, 0] / known[20, 20, 2] == pytest.approx(2.5, rel=0.01)
    for kept in (calm, known):
        kept[20, 20] = whole[20, 20]
        assert kept == pytest.approx(whole)


def test_what_is_not_far_above_is_spread_and_not_lost() -> None:
    light = np.full((60, 60, 3), 0.1, np.float32)
    light[30, 30] *= 6
    shown = smoothed(light, 0.3)
    assert shown.max() < 0.15
    assert shown.sum() == pytest.approx(light.sum(), rel=1e-4)


def test_normal_grain_is_found_at_its_size_and_edges_are_none() -> None:
    rng = np.random.default_rng(4)
    guide = (0.5 + 0.02 * rng.standard_normal((200, 200))).astype(np.float32)
    assert np.sqrt(grain(guide).mean()) == pytest.approx(0.02, rel=0.05)
    step = np.where(np.arange(200) < 100, 0.2, 0.8).astype(np.float32)
    edge = np.ascontiguousarray(np.broadcast_to(step, (200, 200)))
    assert np.sqrt(grain(cv2.GaussianBlur(edge, (0, 0), 0.6)).max()) < 0.01
