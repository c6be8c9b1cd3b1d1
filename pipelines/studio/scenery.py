"""What stands before the camera, said without the renderer, so that staging does not need it."""

from dataclasses import dataclass

from pipelines.studio.geometry.mesh import Array, Mesh
from pipelines.studio.lights.lamps import Lighting
from pipelines.studio.materials.surface import Surface
from pipelines.studio.view import View


@dataclass(frozen=True)
class Item:
    """A thing in the scene, already in its place. `name` is unique; plug parts keep their names."""

    name: str
    mesh: Mesh
    surface: Surface


@dataclass(frozen=True)
class Scene:
    """All that the camera sees. `pose` (4×4) carries the plug's frame into the scene, or None."""

    items: tuple[Item, ...]
    lighting: Lighting
    view: View
    pose: Array | None
