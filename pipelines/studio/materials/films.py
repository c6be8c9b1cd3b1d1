"""Thin deposits by Kubelka and Munk's two-flux theory.

Kubelka and Munk 1931, the hyperbolic form (from memory, unchecked; the tests check it against
its own differential equations and limits). A film is known by the reflectance of a very
thick layer of it, which fixes the ratio of absorption to scattering at each wavelength. Scattering
is taken as the same at all wavelengths (our estimate).
"""

import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.noise import Field

PASSES = 0.05
"""Share of light at 550 nm that a film of thickness 1 lets through."""

LEVELS = 2048
_FALL = 3.0


def absorption(thick: npt.ArrayLike) -> Array:
    """Ratio of absorption to scattering of a matter whose thick layer reflects `thick` (0..1)."""
    r = np.clip(np.asarray(thick, float), 1e-4, 1 - 1e-4)
    return np.asarray((1 - r) ** 2 / (2 * r))


def thick_reflectance(ratio: npt.ArrayLike) -> Array:
    """The inverse of `absorption`: reflectance in 0..1 of a thick layer."""
    q = np.asarray(ratio, float)
    return np.asarray(1 / (1 + q + np.sqrt(q * q + 2 * q)))


def two_flux(thick: Array, green: float, thickness: npt.ArrayLike) -> tuple[Array, Array]:
    """Reflectance over black and transmittance, each (n, bands), of films.

    `thick` (bands,) is the reflectance of a thick layer, `green` the same at 550 nm, by which
    `thickness` (n,) is counted: 1 lets `PASSES` of that light through.
    """
    a = 1 + absorption(green)
    b = np.sqrt(a * a - 1)
    # T = b / (a sinh y + b cosh y) = PASSES, solved for y = b S at thickness 1.
    want = b / PASSES
    scatter = np.log((want + np.sqrt(want * want + 1)) / (a + b)) / b
    a = 1 + absorption(thick)
    b = np.sqrt(a * a - 1)
    y = b * scatter * np.asarray(thickness, float)[..., None]
    # Written with exp(-y) so that thick films do not overflow.
    down = np.exp(-2 * y)
    below = a * (1 - down) + b * (1 + down)
    return (1 - down) / below, 2 * b * np.exp(-y) / below


def over(
    reflects: npt.NDArray[np.floating],
    passes: npt.NDArray[np.floating],
    ground: npt.NDArray[np.floating],
) -> npt.NDArray[np.floating]:
    """Reflectance of a film over a ground, with all the light that goes to and fro between them."""
    return reflects + passes**2 * ground / (1 - reflects * ground)


def thickness_of(opacity: npt.ArrayLike) -> Field:
    """Thickness of a film that keeps back about `opacity` (0..1) of the light at 550 nm."""
    clear = np.clip(1 - np.asarray(opacity, np.float32), 1e-3, 1.0)
    return (np.log(clear) / np.log(PASSES)).astype(np.float32)


def looked_up(thick: Array, green: float, thickness: Field) -> tuple[Field, Field]:
    """`two_flux` for maps of any shape (…) → (…, bands), through a table of 2,048 thicknesses.

    Their steps are even in what a film lets through; a step moves reflectance by under 0.001.
    """
    share = np.arange(LEVELS) / LEVELS
    reflects, passes = two_flux(thick, green, -np.log(1 - share) / _FALL)
    place = (1 - np.exp(-_FALL * thickness)) * LEVELS + 0.5
    index = np.clip(place, 0, LEVELS - 1).astype(np.int32)
    return (
        reflects.astype(np.float32).take(index, axis=0),
        passes.astype(np.float32).take(index, axis=0),
    )
