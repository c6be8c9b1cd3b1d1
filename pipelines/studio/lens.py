"""Rays through a thin lens (needs Mitsuba): the other way round of `view.View.project`."""

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from pipelines.studio.view import View


@dataclass(frozen=True)
class Lens:
    """A camera's numbers in the renderer's memory, so that they are no part of compiled code."""

    numbers: tuple[Any, ...]


def lens(view: View) -> Lens:
    """The lens of a view."""
    right, down, forward = view.axes()
    focus = float(np.subtract(view.focus, view.origin) @ forward)
    rest = [view.width / 2, view.height / 2, 1 / view.focal_px, view.aperture, focus]
    numbers = tuple(mi.Float(float(n)) for n in [*view.origin, *right, *down, *forward, *rest])
    dr.make_opaque(numbers)
    return Lens(numbers)


def rays(of: Lens, pixel: Any, spread: Any) -> Any:
    """Rays through `pixel` (x right, y down) and a spot of the opening; `spread` (2) in 0..1,
    (0.5, 0.5) being its middle."""
    n = of.numbers
    origin, right, down, forward = (mi.Point3f(*n[k : k + 3]) for k in (0, 3, 6, 9))
    x, y = (pixel.x - n[12]) * n[14], (pixel.y - n[13]) * n[14]
    sharp = n[16] * (forward + x * right + y * down)
    on = n[15] * mi.warp.square_to_uniform_disk_concentric(spread)
    shift = on.x * right + on.y * down
    ray = mi.Ray3f(origin + shift, dr.normalize(mi.Vector3f(sharp - shift)))
    ray.wavelengths = mi.Spectrum(500.0)
    return ray
