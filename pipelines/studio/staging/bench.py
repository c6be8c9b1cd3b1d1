"""Scenes set by hand: a plug under the bench card, a plug lying, a bench without one."""

import cv2
import numpy as np

from pipelines.studio.bench_card import card_mesh, corners, in_space, ink, strips
from pipelines.studio.geometry.hardware import bolt, coil_spring, nut, washer
from pipelines.studio.geometry.mesh import Array, Mesh, transformed
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.geometry.pose import rotation, translation
from pipelines.studio.geometry.sheet import plane, rag
from pipelines.studio.lights.lamps import Lamp, Lighting, at
from pipelines.studio.materials.backdrops import backdrop
from pipelines.studio.materials.noise import patches
from pipelines.studio.materials.spectra import matter
from pipelines.studio.materials.surface import Layer, Surface, texel_points
from pipelines.studio.plug import FiringEnd
from pipelines.studio.scenery import Item, Scene
from pipelines.studio.staging.stage import Stage, Standpoint, plug_items
from pipelines.studio.view import View
from tipvision.bench_card.layout import load_layout


def bench_lamp(
    illuminant: str,
    azimuth: float,
    elevation: float,
    seed: int,
    size: float = 80.0,
    room: float = 0.16,
) -> Lighting:
    """A lamp on an arm about 45 cm away, a window or ceiling light further off, and the room."""
    rng = np.random.default_rng([seed, 3])
    lamp = Lamp(
        "disk",
        at(azimuth, elevation, 450.0),
        (0.0, 0.0, 0.0),
        (size, size),
        28.0 * (80 / size) ** 2 * 4,
    )
    far = Lamp(
        "rectangle",
        at(azimuth + rng.uniform(100, 220), rng.uniform(25, 55), 1250.0),
        (0.0, 0.0, 0.0),
        (float(rng.uniform(250, 900)), float(rng.uniform(150, 500))),
        float(rng.uniform(3, 8)),
    )
    return Lighting(illuminant, (lamp, far), room, seed)


def under_card(
    plug: FiringEnd, lighting: Lighting, stand: Standpoint, bench: str, turn: float, seed: int
) -> Stage:
    """The plug stands in a bench with the bench card laid round it, `turn` the card's turn in °."""
    rng = np.random.default_rng([seed, 6])
    layout, level = load_layout(), -plug.reach
    place = translation(0, 0, level + 0.3) @ rotation("z", turn)
    curl = rng.uniform(0.4, 1.6)
    paper = (
        Layer(matter("paper")),
        Layer(matter("ink"), ink()),
        Layer(matter("dark_brown"), _smudges(seed)),
    )
    items = [
        *plug_items(plug, np.eye(4)),
        Item("card", transformed(card_mesh(curl), place), Surface(paper)),
    ]
    for k, (x, y, w, h) in enumerate(strips()):
        middle = in_space(np.array([[x + w / 2, y + h / 2]]), 0.0)[0]
        strip = transformed(plane(w, h), place @ translation(middle[0], middle[1], -0.3))
        items.append(Item(f"strip_{k}", strip, Surface((Layer(matter("grey_card")),))))
    # The card hangs on the plug's seat; the plug stands in a socket or a block, unseen below.
    flat = plane(460, 380)
    below = level - rng.uniform(18.0, 42.0)
    top = transformed(flat, translation(0, 0, below) @ rotation("z", turn + rng.uniform(-25, 25)))
    items.append(Item("bench", top, backdrop(bench, flat, seed)))
    target = place @ np.array([0.0, layout.seat.centre[1] - layout.height / 2, 0.0, 1.0])
    up = rotation("z", turn + stand.roll)[:3, 1]
    view = _view(stand, target[:3], up, (0.0, 0.0, plug.projection), turn)
    edges = in_space(corners(), curl) @ place[:3, :3].T + place[:3, 3]
    return Stage(Scene(tuple(items), lighting, view, np.eye(4)), plug, edges)


def _smudges(seed: int) -> Array:
    """Faint oily marks on the paper, kept off windows and markers (they are cut-outs or ink)."""
    card = load_layout()
    y, x = np.mgrid[0 : card.height : 210j, 0 : card.width : 296j]
    points = np.stack([x, y, 0 * x], -1)
    marks = patches(points / 9.0, seed, 0.025, 0.4, 3)
    small = np.asarray(0.12 * marks, dtype=np.float32)
    rows, columns = ink().shape
    return np.asarray(cv2.resize(small, (columns, rows)), dtype=float)


def _view(
    stand: Standpoint, target: Array, up: Array, focus: tuple[float, float, float], turn: float
) -> View:
    tilt, azimuth = np.radians([stand.tilt, stand.azimuth + turn])
    away = np.array([np.sin(tilt) * np.cos(azimuth), np.sin(tilt) * np.sin(azimuth), np.cos(tilt)])
    origin = target + stand.distance * away
    return View(
        _three(origin),
        _three(target),
        _three(up),
        stand.fov,
        stand.width,
        stand.height,
        stand.aperture,
        focus,
    )


def _three(v: Array) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])


def lying(plug: FiringEnd, lighting: Lighting, stand: Standpoint, bench: str, seed: int) -> Stage:
    """The plug lies on the bench and points at the camera, resting on its hexagon and terminal.

    The camera stands `tilt` above the plug's axis and `azimuth` beside it.
    """
    rng = np.random.default_rng([seed, 7])
    lift = 10.0
    turn = rotation("x", 90.0 - lift) @ rotation("z", 30.0)
    parts = plug_parts(plug)
    lowest = min(
        transformed(parts[name], turn).vertices[:, 2].min() for name in ("hex", "terminal")
    )
    pose = translation(0, 0, -lowest) @ turn
    flat = plane(700, 700)
    items = (
        *plug_items(plug, pose),
        Item(
            "bench",
            transformed(flat, rotation("z", rng.uniform(0, 360))),
            backdrop(bench, flat, seed, 0.4),
        ),
    )
    nose = (pose @ np.array([0, 0, plug.projection, 1.0]))[:3]
    axis = pose[:3, 2]
    beside = np.array([1.0, 0.0, 0.0])
    above = np.cross(beside, axis)
    above = above if above[2] > 0 else -above
    tilt, azimuth = np.radians([stand.tilt, stand.azimuth])
    away = np.cos(tilt) * (np.cos(azimuth) * axis + np.sin(azimuth) * beside) + np.sin(tilt) * above
    target = nose - 2.0 * axis
    roll = rotation("y", stand.roll)[:3, 2]
    view = View(
        _three(target + stand.distance * away),
        _three(target),
        _three(roll),
        stand.fov,
        stand.width,
        stand.height,
        stand.aperture,
        _three(nose),
    )
    return Stage(Scene(items, lighting, view, pose), plug, None)


def bench_without_plug(lighting: Lighting, stand: Standpoint, bench: str, seed: int) -> Stage:
    """Bolts, nuts, a washer, a coil spring and a rag on the bench: nothing to read."""
    rng = np.random.default_rng([seed, 8])
    flat = plane(460, 380)
    cloth = rag(190, 130, 11.0, seed)
    cloth_flat = plane(190, 130)
    loose = [
        ("bolt_a", bolt(8.0, 1.25, 38.0), _on_side(6.2, -22.0, 8.0, 62.0), "steel"),
        ("bolt_b", bolt(10.0, 1.5, 30.0), _on_side(7.75, 30.0, -14.0, 200.0), "plating"),
        ("nut_a", nut(8.0, 6.5), translation(-8.0, -50.0, 0.0), "plating"),
        ("nut_b", nut(12.0, 10.0), translation(-40.0, -24.0, 0.0) @ rotation("z", 20), "steel"),
        ("washer", washer(8.4, 17.0, 1.6), translation(14.0, -30.0, 0.0), "plating"),
        ("spring", coil_spring(15.0, 1.9, 9.0, 4.6), _on_side(8.45, 46.0, 22.0, 110.0), "steel"),
    ]
    items = [Item("bench", flat, backdrop(bench, flat, seed))]
    for name, mesh, pose, metal in loose:
        items.append(Item(name, transformed(mesh, pose), _used_metal(mesh, metal, rng)))
    items.append(
        Item(
            "rag",
            transformed(cloth, translation(-58.0, 52.0, 0.0) @ rotation("z", 24.0)),
            backdrop("red cloth", cloth_flat, seed, 0.2),
        )
    )
    view = _view(stand, np.array([0.0, 4.0, 0.0]), rotation("z", stand.roll)[:3, 1], (0, 0, 5), 0.0)
    return Stage(Scene(tuple(items), lighting, view, None), None, None)


def _on_side(height: float, x: float, y: float, degrees: float) -> Array:
    return (
        translation(x, y, height) @ rotation("z", degrees) @ rotation("x", 90.0) @ rotation("z", 30)
    )


def _used_metal(mesh: Mesh, metal: str, rng: np.random.Generator) -> Surface:
    points = texel_points(mesh, 512, 384)
    salt = int(rng.integers(1000))
    layers = (
        Layer(matter(metal, rng)),
        Layer(matter("varnished_steel"), 0.6 * patches(points / 4.0, salt, 0.3, 0.8)),
        Layer(matter("dark_brown", rng), 0.7 * patches(points / 2.5, salt + 1, 0.22, 0.6)),
    )
    return Surface(layers)
