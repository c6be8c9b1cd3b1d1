"""From parts, lights and a view to the renderer's scene (needs Mitsuba)."""

from dataclasses import dataclass, replace

import numpy as np

from pipelines.studio.lens import Lens, lens
from pipelines.studio.lights.lamps import Lighting
from pipelines.studio.materials.atlas import atlas
from pipelines.studio.materials.skin import uploaded
from pipelines.studio.paths import Lit
from pipelines.studio.scenery import Scene
from pipelines.studio.shine import shine
from pipelines.studio.surfaces import things

CAP = 5.0


@dataclass(frozen=True)
class Loaded:
    """A scene in the renderer. `names` are its items, as `Things.faces` counts them; `white` is the
    radiance of a white surface that faces the lamps."""

    lit: Lit
    lens: Lens
    names: tuple[str, ...]
    white: float

    @property
    def brightest(self) -> float:
        """The radiance that a path gives at most.

        A cap on single paths: it ends the fireflies of light caught between mirrors, and lies far
        above where any camera clips.
        """
        return CAP * self.white


def build(scene: Scene) -> Loaded:
    """Load the scene. The variant must be set before (`render.start`).

    Light is of equal energy at all wavelengths.
    """
    skins = uploaded(atlas([item.surface for item in scene.items]))
    lit = Lit(things(scene.items), skins, shine(scene.lighting))
    names = tuple(item.name for item in scene.items)
    return Loaded(lit, lens(scene.view), names, _white(scene.lighting))


def relit(loaded: Loaded, lighting: Lighting) -> Loaded:
    """What is loaded, under other lamps."""
    lit = replace(loaded.lit, shine=shine(lighting))
    return replace(loaded, lit=lit, white=_white(lighting))


def _white(lighting: Lighting) -> float:
    white = lighting.room
    for lamp in lighting.lamps:
        distance = np.linalg.norm(np.subtract(lamp.place, lamp.aim))
        area = lamp.size[0] * lamp.size[1] * (np.pi / 4 if lamp.shape == "disk" else 1.0)
        white += float(lamp.radiance * area / distance**2 / np.pi)
    return white
