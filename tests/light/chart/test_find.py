"""The 24-patch chart is found as it lies, or not at all."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from tipvision.light.chart.find import find_chart
from tipvision.light.chart.layouts import layout_residual
from tipvision.light.homography import project


def off_by(studio, view, scene) -> float:
    """Largest miss of a corner, as a share of the chart's mean side."""
    true = studio.corners(scene)
    side = np.linalg.norm(true - np.roll(true, 1, axis=0), axis=1).mean()
    return np.linalg.norm(view.corners - true, axis=1).max() / side


@pytest.mark.parametrize("roll", range(0, 360, 60))
@pytest.mark.parametrize("tilt", [0, 25, 50])
def test_found_however_it_lies(studio, roll: int, tilt: int) -> None:
    rng = np.random.default_rng(roll + tilt)
    scene = studio.scene(
        roll=roll,
        tilt=tilt,
        azimuth=rng.uniform(0, 360),
        fill=rng.uniform(0.2, 0.6),
        blur=rng.uniform(0.5, 1.8),
        noise=rng.uniform(0, 4),
        gains=tuple(rng.uniform(0.35, 0.9, 3)),
        exponent=rng.uniform(0.7, 1.2),
        grain=rng.choice([0.0, 0.3]),
        seed=roll,
    )
    view = find_chart(studio.photograph(scene), scene.size)
    assert view is not None
    assert off_by(studio, view, scene) < 0.03


def test_the_view_is_in_pixels_of_the_displayed_photo(studio) -> None:
    scene = studio.scene(roll=30)
    photo = studio.photograph(scene)
    small, large = (find_chart(photo, size) for size in ((1024, 768), (4096, 3072)))
    assert small is not None and large is not None
    assert large.corners == pytest.approx(4 * small.corners)
    assert large.quads == pytest.approx(4 * small.quads)
    middles = small.quads.mean(axis=1)
    columns_rows = np.array([[0, 0], [5, 0], [0, 3], [5, 3]])
    assert middles[[0, 5, 18, 23]] == pytest.approx(project(small.homography, columns_rows), abs=1)
    assert middles == pytest.approx(
        project(studio.pose(scene), np.array([[k % 6, k // 6] for k in range(24)])), abs=2
    )


@pytest.mark.parametrize("seed", range(3))
def test_what_only_looks_like_it_is_refused(studio, seed: int) -> None:
    rng = np.random.default_rng(seed)
    scene = studio.scene(roll=90 * seed + 7, tilt=15, azimuth=50 * seed, size=(640, 480))
    chart = studio.printed()
    tiles = rng.uniform(0.02, 0.9, (24, 3))
    assert find_chart(studio.photograph(scene), scene.size) is not None
    for patches in (tiles, chart[rng.permutation(24)], tiles[:, :1].repeat(3, axis=1)):
        photo = studio.photograph(replace(scene, patches=patches))
        assert find_chart(photo, scene.size) is None
    mirrored = studio.photograph(replace(scene, mirrored=True))
    assert find_chart(mirrored, scene.size) is None
    assert find_chart(np.ascontiguousarray(mirrored[:, ::-1]), scene.size) is not None


def test_a_chart_cut_off_by_the_frame_is_refused(studio) -> None:
    scene = studio.scene(shift=(400, 0))
    assert find_chart(studio.photograph(scene), scene.size) is None


@pytest.mark.parametrize("seed", range(3))
def test_nothing_is_found_where_no_chart_is(seed: int) -> None:
    rng = np.random.default_rng(seed)
    noise = rng.integers(0, 256, (768, 1024, 3), dtype=np.uint8)
    keys = np.full((768, 1024, 3), 40, np.uint8)
    for y in range(60, 700, 70):
        for x in range(40, 960, 70):
            cv2.rectangle(keys, (x, y), (x + 55, y + 55), (190, 190, 185), -1)
    y, x = np.indices((768, 1024)) // (20 + 7 * seed)
    board = np.repeat(((x + y) % 2 * 255).astype(np.uint8)[..., None], 3, axis=2)
    coarse = cv2.resize(noise[:12, :16], (1024, 768), interpolation=cv2.INTER_NEAREST)
    for photo in (noise, keys, board, coarse, np.zeros_like(noise), noise[:1], noise[:40, :3]):
        before = photo.copy()
        assert find_chart(np.ascontiguousarray(photo), (1024, 768)) is None
        assert (photo == before).all()


def test_residual_is_blind_to_a_linear_cast_and_sees_a_wrong_layout() -> None:
    rng = np.random.default_rng(0)
    reference = np.abs(rng.uniform(0.05, 0.9, (24, 3)))
    cast = np.array([[0.5, 0.1, 0.0], [0.1, 0.7, 0.1], [0.0, 0.2, 0.4]])
    assert layout_residual(reference @ cast, reference) == pytest.approx(0.0, abs=1e-6)
    assert layout_residual(reference[::-1] @ cast, reference) > 10
    grey = reference[:, :1].repeat(3, axis=1)
    assert layout_residual(grey, reference) == float("inf")


def test_several_layouts_are_judged_as_each_alone_without_the_patches_that_do_not_count() -> None:
    rng = np.random.default_rng(1)
    reference = rng.uniform(0.05, 0.9, (24, 3))
    lights = reference @ np.diag([0.5, 0.7, 0.4]) * np.exp(rng.normal(0, 0.05, (4, 24, 3)))
    kept = rng.random((4, 24)) < 0.8
    alone = [
        float(layout_residual(light[own], reference[own]))
        for light, own in zip(lights, kept, strict=True)
    ]
    assert layout_residual(lights, reference, kept) == pytest.approx(alone)
