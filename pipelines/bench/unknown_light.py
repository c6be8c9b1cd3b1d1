"""How well a colour is told when nothing is known of the light, with spectra instead of photos.

A case is a bench of one ground and some things on it, lit unevenly by one lamp, seen by a camera
that balances by itself, rightly, partly or wrongly, and meters what it sees: as the photo studio
draws it. The estimate looks at the bench; the colour of a nose-like matter that lies in the lamp's
plain light is judged. What the bore takes away from a nose comes on top
(`python -m pipelines.light fit`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.studio.camera_colour import cast
from pipelines.studio.camera_sample import sample_settings
from pipelines.studio.camera_tone import meter
from pipelines.studio.lights.spectra import FINE, camera, illuminant, observer
from pipelines.studio.materials.spectra import hats, matter
from tipvision.colour.srgb import encode

Array = NDArray[np.float64]

SIZE = (48, 64)  # height and width of the bench, pixels
LAID, SIDES = (3, 9), (6, 24)  # how many things lie on it, and their sides in pixels
SLOPE_SD = 0.3  # of the change of ln(light) from left to right; our estimate
LIGHT_SD = 0.35  # of ln(light) from thing to thing; our estimate
LEVEL_SD = 0.25  # of ln(reflectance) of a ground and of a thing about its matter's; our estimate


@dataclass(frozen=True)
class Bench:
    """What may lie in a case: names of grounds and things, as in the studio's reflectances."""

    grounds: tuple[str, ...]
    things: tuple[str, ...]


SET_BY = Bench(
    ("wood_light", "concrete", "cloth_blue", "paper", "steel"),
    ("aluminium", "rubber", "varnished_steel", "cloth_red", "yellow_plating", "sand_grain"),
)
JUDGED = Bench(
    ("wood_dark", "cloth_pale", "cloth_red", "rubber", "paint_green", "ink"),
    ("nickel", "plating", "wood_light", "rust", "paper", "black_plating", "noble", "grey_card"),
)
"""The estimate's constants were set on `SET_BY`, and on other lamps than are judged."""


def seen_unknown(
    rng: np.random.Generator, name: str, lamp: str, matrix: Array, bench: Bench, noses: Array
) -> tuple[NDArray[np.uint8], Array]:
    """One case: the bench as an overview, uint8 (h, w, 3), RGB encoded as sRGB, and the nominal
    linear RGB (n, 3) of noses of those reflectances (n, 81) in the lamp's plain light.

    matrix: float64 (3, 3), from the camera's balanced colours to linear sRGB, applied from the
            right.
    """
    weights = illuminant(lamp)[:, None] * camera(name)
    balanced = weights / weights.sum(axis=0)
    taken = sample_settings(int(rng.integers(2**31)), (name,))
    wrongly = cast(illuminant(lamp) @ observer(), taken.balance, taken.mired, taken.duv)
    names = [rng.choice(bench.grounds), *rng.choice(bench.things, rng.integers(*LAID))]
    surfaces = np.stack([hats(FINE) @ matter(str(one)).reflectance for one in names])
    surfaces *= np.exp(rng.normal(0, LEVEL_SD, len(names)))[:, None]
    lit = np.exp(rng.normal(0, LIGHT_SD, len(names)))
    colours = np.minimum(surfaces, 0.98) @ balanced * lit[:, None]
    picture = np.empty((*SIZE, 3))
    picture[:] = colours[0]
    for colour in colours[1:]:
        high, wide = rng.integers(*SIDES, 2)
        top, left = rng.integers(0, SIZE[0] - high), rng.integers(0, SIZE[1] - wide)
        picture[top : top + high, left : left + wide] = colour
    picture *= np.exp(rng.normal(0, SLOPE_SD) * np.linspace(-0.5, 0.5, SIZE[1]))[:, None]
    exposure = meter(picture[..., 1]) * 2.0**taken.ev
    codes = np.round(255 * encode(np.clip(exposure * picture @ matrix * wrongly, 0, 1)))
    return codes.astype(np.uint8), exposure * (noses @ balanced) @ matrix * wrongly
