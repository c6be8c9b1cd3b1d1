"""From parts, lights and a view to the renderer's scene (needs Mitsuba)."""

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from pipelines.studio.lights.lamps import Lamp, Lighting, room_glow
from pipelines.studio.materials.bsdf import shape
from pipelines.studio.materials.surface import Surface
from pipelines.studio.scenery import Scene

ROOM_RADIUS = 1500.0
CAP = 5.0


def _lamp(lamp: Lamp) -> dict[str, Any]:
    frame = mi.ScalarTransform4f
    up = [0.0, 1.0, 0.0] if abs(lamp.aim[1] - lamp.place[1]) < 50 else [0.0, 0.0, 1.0]
    half = [lamp.size[0] / 2, lamp.size[1] / 2, 1.0]
    return {
        "type": lamp.shape,
        "to_world": frame().look_at(origin=lamp.place, target=lamp.aim, up=up)
        @ frame().scale(half),
        "glow": {
            "type": "area",
            "sampling_weight": 3.0,
            "radiance": {"type": "uniform", "value": lamp.radiance},
        },
    }


def _brightest(lighting: Lighting) -> float:
    """Five times the radiance of a white surface that faces the lamps: one path gives no more.

    A cap on single paths: it ends the fireflies of light caught between mirrors, and lies far above
    where any camera clips.
    """
    white = lighting.room
    for lamp in lighting.lamps:
        distance = np.linalg.norm(np.subtract(lamp.place, lamp.aim))
        area = lamp.size[0] * lamp.size[1] * (np.pi / 4 if lamp.shape == "disk" else 1.0)
        white += float(lamp.radiance * area / distance**2 / np.pi)
    return CAP * white


def _opaque(loaded: Any) -> None:
    """Make numbers of camera and lamps data of the compiled code rather than part of it.

    Scenes with lamps of the same kinds then share one kernel; compiling takes longer than tracing
    a small picture.
    """
    params = mi.traverse(loaded)
    for key in params.keys():  # noqa: SIM118  (no plain mapping)
        owner, _, field = key.partition(".")
        if (owner == "sensor" and field in ("aperture_radius", "focus_distance", "to_world")) or (
            owner.startswith("lamp_") and field == "to_world"
        ):
            value = params[key]
            dr.make_opaque(value)
            params[key] = value
    params.update()


@dataclass(frozen=True)
class Loaded:
    """A scene in the renderer, with the scattering models that `render` fills four bands a time."""

    scene: Any
    sensor: Any
    integrator: Any
    skins: tuple[tuple[Any, Surface, str], ...]
    brightest: float


def build(scene: Scene) -> Loaded:
    """Load the scene. The variant must be set before (`render.start`).

    Light is of equal energy at all wavelengths.
    """
    import pipelines.studio.materials.skin  # noqa: F401  (registers itself for the variant)

    view = scene.view
    _, _, forward = view.axes()
    focus = float(np.subtract(view.focus, view.origin) @ forward)
    frame = mi.ScalarTransform4f
    glow = scene.lighting.room * room_glow(scene.lighting.room_seed)
    out: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 7, "rr_depth": 4},
        "sensor": {
            "type": "thinlens",
            "fov": view.fov,
            "aperture_radius": view.aperture,
            "focus_distance": focus,
            "near_clip": 1.0,
            "far_clip": 10000.0,
            "to_world": frame().look_at(origin=view.origin, target=view.target, up=view.up),
            "film": {"type": "hdrfilm", "width": view.width, "height": view.height},
            "sampler": {"type": "independent"},
        },
        "room": {
            "type": "sphere",
            "radius": ROOM_RADIUS,
            "flip_normals": True,
            "bsdf": {"type": "diffuse", "reflectance": {"type": "uniform", "value": 0.0}},
            "glow": {
                "type": "area",
                "sampling_weight": 2.0,
                "radiance": {
                    "type": "bitmap",
                    "data": mi.TensorXf(np.ascontiguousarray(glow[..., None], dtype=np.float32)),
                    "raw": True,
                },
            },
        },
    }
    for k, lamp in enumerate(scene.lighting.lamps):
        out[f"lamp_{k}"] = _lamp(lamp)
    skins = []
    for item in scene.items:
        out[item.name], skin = shape(item.name, item.mesh, item.surface)
        skins.append((skin, item.surface, item.name))
    loaded = mi.load_dict(out)
    _opaque(loaded)
    return Loaded(
        loaded, loaded.sensors()[0], loaded.integrator(), tuple(skins), _brightest(scene.lighting)
    )
