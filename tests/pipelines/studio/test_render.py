"""Physics of the render against closed forms, and pixels where the view says they are."""

import numpy as np
import pytest

pytest.importorskip("mitsuba")

from pipelines.studio import render
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.lights.lamps import Lamp, Lighting
from pipelines.studio.materials.spectra import WAVELENGTHS, matter
from pipelines.studio.materials.surface import Layer, Surface
from pipelines.studio.scene import Loaded, build
from pipelines.studio.scenery import Item, Scene
from pipelines.studio.view import View

VIEW = View((30.0, -60.0, 200.0), (0, 0, 0), (0, 1, 0), 20.0, 48, 36, 0.5, (0, 0, 0))


def _flat(name: str) -> Loaded:
    try:
        render.start()
    except RuntimeError as error:
        pytest.skip(str(error))
    lamp = Lamp("disk", (0.0, 0.0, 400.0), (0.0, 0.0, 0.0), (20.0, 20.0), 100.0)
    item = Item("sheet", plane(400, 400), Surface((Layer(matter(name)),)))
    return build(Scene((item,), Lighting("D65", (lamp,), 0.0, 1), VIEW, None))


def test_radiance_of_a_matte_sheet_is_the_closed_form() -> None:
    # Under a small disk straight above: E = L · A / d², radiance = reflectance · E / π.
    for name in ("grey_card", "paper"):
        got = render.bands(_flat(name), (20, 14, 8, 8), 64, 1).mean(axis=(0, 1))
        irradiance = 100.0 * np.pi * 10.0**2 / 400.0**2
        assert got == pytest.approx(matter(name).reflectance * irradiance / np.pi, rel=0.02)
        assert got.shape == (len(WAVELENGTHS),)


def test_pixels_see_the_points_that_the_view_puts_there() -> None:
    hits = render.hits(_flat("paper"), (0, 0, VIEW.width, VIEW.height), 2)
    points = hits.point[::9, ::9].reshape(-1, 3)
    rows, columns = np.mgrid[0 : hits.name.shape[0] : 9, 0 : hits.name.shape[1] : 9]
    pixels = np.stack([columns.ravel() + 0.5, rows.ravel() + 0.5], 1) / 2
    assert VIEW.project(points) == pytest.approx(pixels, abs=0.02)
    assert set(np.unique(hits.name)) == {hits.names.index("sheet")}


def test_the_same_seed_gives_the_same_radiance() -> None:
    loaded = _flat("paper")
    first, again, other = (render.bands(loaded, (0, 0, 16, 16), 4, s) for s in (5, 5, 6))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
