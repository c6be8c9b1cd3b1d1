"""The render against closed forms and another integrator, pixels where the view says they are."""

import numpy as np
import pytest

pytest.importorskip("mitsuba")

from pipelines.studio import render
from pipelines.studio.geometry.mesh import transformed
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.geometry.sheet import plane
from pipelines.studio.lights.lamps import Lamp, Lighting, room_glow
from pipelines.studio.materials.spectra import matter
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


def test_a_matte_sheet_in_the_room_is_the_closed_form() -> None:
    # Without lamps: E = the integral of the walls' glow over the upper half, weighted by cosine.
    try:
        render.start()
    except RuntimeError as error:
        pytest.skip(str(error))
    item = Item("sheet", plane(400, 400), Surface((Layer(matter("grey_card")),)))
    loaded = build(Scene((item,), Lighting("D65", (), 0.7, 3), VIEW, None))
    got = render.bands(loaded, (20, 14, 8, 8), 256, 1).mean(axis=(0, 1))
    glow = 0.7 * room_glow(3)
    theta = np.linspace(0, np.pi, len(glow))[:, None]
    upper = np.where(theta < np.pi / 2, np.sin(theta) * np.cos(theta), 0.0)
    irradiance = (glow * upper).sum() / len(glow) / glow.shape[1] * 2 * np.pi**2
    assert got == pytest.approx(matter("grey_card").reflectance * irradiance / np.pi, rel=0.02)


def test_paths_agree_with_the_renderers_own_integrator() -> None:
    # reference library: Mitsuba's path integrator, four equal wavelengths, the same light.
    try:
        render.start()
    except RuntimeError as error:
        pytest.skip(str(error))
    import mitsuba as mi

    lamp = Lamp("rectangle", (90.0, -60.0, 260.0), (0.0, 0.0, 0.0), (80.0, 50.0), 12.0)
    view = VIEW
    sheet = Item("sheet", plane(400, 400), Surface((Layer(matter("grey_card")),)))
    wall = transformed(plane(120, 80), translation(0, 45, 40) @ rotation("x", 90))
    items = (sheet, Item("wall", wall, Surface((Layer(matter("paper")),))))
    loaded = build(Scene(items, Lighting("D65", (lamp,), 0.0, 1), view, None))
    got = render.bands(loaded, (0, 0, view.width, view.height), 64, 1)[..., 8]
    frame = mi.ScalarTransform4f
    scene: dict[str, object] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 8, "rr_depth": 8},
        "sensor": {
            "type": "thinlens",
            "fov": view.fov,
            "aperture_radius": view.aperture,
            "focus_distance": float(np.subtract(view.focus, view.origin) @ view.axes()[2]),
            "to_world": frame().look_at(view.origin, view.target, view.up),
            "film": {"type": "hdrfilm", "width": view.width, "height": view.height,
                     "rfilter": {"type": "box"}, "pixel_format": "luminance"},
        },
        "lamp": {
            "type": "rectangle",
            "to_world": frame().look_at(lamp.place, lamp.aim, [0, 0, 1])
            @ frame().scale([40.0, 25.0, 1.0]),
            "glow": {"type": "area", "radiance": {"type": "uniform", "value": 12.0}},
        },
    }  # fmt: skip
    for item in items:
        props = _matte(float(item.surface.layers[0].matter.reflectance[8]))
        sizes = len(item.mesh.vertices), len(item.mesh.faces)
        mesh = mi.Mesh(item.name, *sizes, props=props)
        params = mi.traverse(mesh)
        params["vertex_positions"] = item.mesh.vertices.astype(np.float32).ravel()
        params["faces"] = item.mesh.faces.astype(np.uint32).ravel()
        params.update()
        scene[item.name] = mesh
    wanted = np.array(mi.render(mi.load_dict(scene), spp=256, seed=2))[..., 0]
    # Luminance of an equal-energy spectrum: a constant factor, taken from the whole picture.
    factor = got.mean() / wanted.mean()
    assert factor * wanted[6:30, 6:42].mean() == pytest.approx(got[6:30, 6:42].mean(), rel=0.01)
    assert np.abs(factor * wanted - got).mean() < 0.03 * got.mean()


def _matte(reflectance: float) -> object:
    import mitsuba as mi

    props = mi.Properties()
    props["bsdf"] = mi.load_dict(
        {
            "type": "twosided",
            "inner": {
                "type": "diffuse",
                "reflectance": {"type": "uniform", "value": reflectance},
            },
        }
    )
    return props
