"""The exposure of a photo with a plug in it, which must not tell what condition the plug is in.

A meter that sees a black or white plug makes the bench round it bright or dark: then the background
would tell the condition, and a model learn to look there. So it looks beside the plug, and minds of
the nose only how bright a white one would be in its place: that is kept from burning out.
"""

from collections.abc import Sequence

import numpy as np

from pipelines.studio.camera import CameraSettings, Exposure, Group, luminances, meter, powers
from pipelines.studio.geometry.mesh import Array
from pipelines.studio.labels import NOSE
from pipelines.studio.store import Linear
from pipelines.studio.truth import PLUG_STEP

WHITE_NOSE = 0.88
"""Brightest that the meter leaves a white nose, of what the sensor holds (our estimate)."""
SKIN = 0.04
"""Reflectance of the gloss over any nose: it is in what is seen, but not in the nose's colour."""
FEWEST = 12
"""Pixels of a nose that the meter minds."""


def metered_beside(linear: Linear, groups: Sequence[Group], settings: CameraSettings) -> Exposure:
    """The exposure of a render's photo by the meter and `settings.ev`.

    `groups` are those of the render. Without a plug it is `camera.metered`'s.
    """
    power = powers(groups)
    seen = luminances(groups, settings, power)
    mask = linear.mask if settings.crop is None else linear.mask[settings.crop.window]
    beside = seen.copy()
    outside = mask == 0
    if outside.any():
        beside[~outside] = np.median(seen[outside])
    gain = meter(beside)
    brightest = max(_white_noses(linear, seen, mask), default=0.0)
    if brightest > 0:
        gain = min(gain, WHITE_NOSE / brightest)
    return Exposure(gain * 2.0**settings.ev, power)


def _white_noses(linear: Linear, seen: Array, mask: Array) -> list[float]:
    """About what a perfectly white nose would be in place of each that is seen."""
    out = []
    for number, plug in enumerate(linear.truth.plugs):
        nose = seen[mask == PLUG_STEP * number + NOSE]
        if plug.nose_lab is not None and len(nose) >= FEWEST:
            reflects = ((plug.nose_lab[0] + 16) / 116) ** 3
            out.append(float(np.median(nose)) / (max(reflects, 0.0) + SKIN))
    return out
