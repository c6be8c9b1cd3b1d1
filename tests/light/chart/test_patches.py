"""Patches are read where they lie, without their borders, dust and shine."""

import numpy as np
import pytest

from tipvision.colour.srgb import linear_table
from tipvision.light.chart.find import find_chart
from tipvision.light.chart.patches import chart_box, read_chart
from tipvision.photo.photo import Window


def read(studio, scene, photo=None):
    photo = studio.photograph(scene) if photo is None else photo
    view = find_chart(photo, scene.size)
    assert view is not None
    box = chart_box(view)
    pixels = photo[box.y0 : box.y1, box.x0 : box.x1]
    window = Window(linear_table()[pixels], (pixels >= 254).any(axis=2))
    return read_chart(window, box, view), view


@pytest.mark.parametrize("tilt", [0, 45])
def test_each_patch_has_its_own_light(studio, tilt: int) -> None:
    gains = np.array([0.6, 0.7, 0.4])
    scene = studio.scene(gains=tuple(gains), tilt=tilt, roll=20, noise=1.0)
    patches, _ = read(studio, scene)
    expected = np.clip(studio.printed(), 0, None) * gains
    assert patches.light == pytest.approx(expected, rel=0.02, abs=0.002)
    assert (patches.error < 0.01).all() and (patches.sd >= 0).all()
    assert (patches.clipped == 0).all() and (patches.pixels > 100).all()


def test_clipped_patches_say_so(studio) -> None:
    patches, _ = read(studio, studio.scene(gains=(1.4, 1.4, 1.4)))
    assert patches.clipped[18] > 0.9
    assert patches.clipped[[0, 3, 22, 23]].max() == 0


def test_dust_and_shine_on_a_quarter_of_a_patch_hardly_count(studio) -> None:
    scene = studio.scene(noise=0.0)
    photo = studio.photograph(scene)
    clean, view = read(studio, scene, photo)
    quad = view.quads[20]
    left, top = np.ceil(quad.min(axis=0)).astype(int) + 3
    right, bottom = quad.mean(axis=0).astype(int)
    photo[top:bottom, left:right] = 255
    spotted, _ = read(studio, scene, photo)
    assert spotted.light[20] == pytest.approx(clean.light[20], rel=0.03)
    assert spotted.clipped[20] > 0.1


def test_a_window_that_shows_nothing_of_a_patch_leaves_it_open(studio) -> None:
    _, view = read(studio, studio.scene())
    box = chart_box(view)
    empty = Window(np.zeros((4, 6, 3), np.float32), np.zeros((4, 6), bool))
    patches = read_chart(empty, box, view)
    assert np.isnan(patches.light).all() and (patches.clipped == 1).all()
