"""A stage: the scene before the camera and what is known of it, and the parts of a plug in it."""

from dataclasses import dataclass, replace

import numpy as np

from pipelines.studio.geometry.hardware import drop
from pipelines.studio.geometry.mesh import Array, Mesh, joined, transformed
from pipelines.studio.geometry.parts import plug_parts
from pipelines.studio.geometry.pose import translation
from pipelines.studio.lights.rigs import Lights
from pipelines.studio.materials.cover import plug_surfaces
from pipelines.studio.materials.spectra import matter
from pipelines.studio.materials.surface import Layer, Surface
from pipelines.studio.plug import FiringEnd
from pipelines.studio.scenery import Item, Scene


@dataclass(frozen=True)
class Placed:
    """A reference in the scene: `kind` as in `references.flat.Flat`, or a look-alike's own name;
    corners (4, 3) in the scene of its outline and of its patch field, and what was done to it:
    "whole" or "cut off" by the frame, "tilted", "shaded", partly "covered" by the subject."""

    kind: str
    corners: Array
    field: Array
    state: tuple[str, ...]


@dataclass(frozen=True)
class Stage:
    """A scene, and where the bench card's corners (4, 3) lie in it, if there is one.

    `plug` is the first of `plugs`; `poses` (4×4 each) carry their frames into the scene. Parts of
    the second and further plugs are items called `nose__2`, `nose__3` (see `part_of`). `lights` are
    the lamp groups: `scene` stands under the first, `under(k)` under any.
    """

    scene: Scene
    plug: FiringEnd | None
    card_corners: Array | None
    plugs: tuple[FiringEnd, ...] = ()
    poses: tuple[Array, ...] = ()
    references: tuple[Placed, ...] = ()
    lights: Lights | None = None
    ground: str = ""
    arrangement: str = ""

    def under(self, group: int) -> Scene:
        """The scene under one lamp group alone."""
        if self.lights is None:
            return self.scene
        return replace(self.scene, lighting=self.lights.groups[group])


@dataclass(frozen=True)
class Standpoint:
    """The camera beside what it looks at: `tilt` from straight above (or from the plug's axis) and
    `azimuth` in degrees, `distance` in mm, horizontal `fov` in degrees, picture size, lens opening
    `aperture` as a radius in mm, `roll` in degrees."""

    tilt: float
    azimuth: float
    distance: float
    fov: float
    width: int
    height: int
    aperture: float
    roll: float = 0.0


def part_of(item: str) -> tuple[str, int]:
    """The part's name and the plug's number (from 1) of an item's name."""
    part, _, number = item.partition("__")
    return part, int(number) if number else 1


def plug_items(plug: FiringEnd, pose: Array, number: int = 1) -> tuple[Item, ...]:
    """All parts of a plug in their place, with drops of oil where it is wet."""
    end = "" if number == 1 else f"__{number}"
    parts = plug_parts(plug)
    surfaces = plug_surfaces(plug, parts)
    items = [Item(n + end, transformed(mesh, pose), surfaces[n]) for n, mesh in parts.items()]
    if plug.condition == "wet_black":
        items.append(Item("drops" + end, transformed(_drops(plug), pose), _oil()))
    return tuple(items)


def _oil() -> Surface:
    return Surface((Layer(matter("oil")),))


def _drops(plug: FiringEnd) -> Mesh:
    """Drops on the rim, sunk a little into it."""
    rng = np.random.default_rng([plug.seed, 4])
    middle = (plug.rim_radius + plug.bore_radius) / 2
    out = []
    for _ in range(int(rng.integers(5, 11))):
        size = rng.uniform(0.18, 0.5)
        angle = rng.uniform(0, 2 * np.pi)
        radius = middle + rng.uniform(-0.3, 0.3)
        place = translation(radius * np.cos(angle), radius * np.sin(angle), -0.03)
        out.append(transformed(drop(size, 0.55 * size), place))
    return joined(out)
