"""How sure the difference between two noses is: less of the light's doubt is in it than in each.

What one light does to all plugs under it cancels in their differences, and so does a part of what
the bores do that plugs of one kind have alike. Both multiply what a nose gives back, so colours are
compared by their logarithms, where a factor that all share is the same step for all.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.lab import lab_to_xyz, xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.light import Light
from tipvision.measure.measurement import Measurement
from tipvision.record.reading import Reading

Array = NDArray[np.float64]

# Share of the variance that the bore adds which plugs seen alike under one light have in common;
# our estimate, on the careful side: among rendered plugs of mixed kinds in one photo the light at
# the nose spreads by half of what it does over all photos, which leaves three quarters in common.
BORE_SHARED = 0.6
# Standard deviation of L*, a*, b* between the sound plugs of one engine; our estimate.
ORDINARY_SPREAD = np.array([4.0, 1.0, 2.0])
FLOOR = 5e-4  # of linear light, under which 8-bit codes tell nothing


@dataclass(frozen=True)
class Colour:
    """The colour of one nose with its doubt in two parts, in the coordinates of `logarithms`.

    value:  float64 (3,).
    key:    what names the light; two colours with the same key have the light in common.
    shared: float64 (n, 3), deviations of `value` under draws that all colours of one key have in
            common, row by row.
    own:    float64 (3, 3), covariance of what is this nose's own.
    """

    value: Array
    key: str
    shared: Array
    own: Array


def logarithms(lab: Array) -> Array:
    """ln Y, ln(red/green) and ln(blue/green) of linear sRGB, (..., 3), of CIELAB colours (..., 3).

    CIELAB under D65, 2° observer; Y of a perfect white is 1; darker than `FLOOR` counts as that.
    """
    xyz = lab_to_xyz(lab)
    red, green, blue = np.moveaxis(
        np.log(np.maximum(xyz @ np.linalg.inv(RGB_TO_XYZ).T, FLOOR)), -1, 0
    )
    level = np.log(np.maximum(xyz[..., 1], FLOOR))
    return np.stack([level, red - green, blue - green], axis=-1)


def colours_of(readings: Sequence[Reading]) -> tuple[Colour | None, ...]:
    """The colour of each reading; None for one that was not measured.

    A light is common to the plugs of one photo and to photos under one stored light; any other
    light is each photo's own, though the lamp may be the same: that is the careful side.
    """
    views = {reading.tips[0].view for reading in readings if reading.measurement is not None}
    bores_alike = len(views) == 1 and None not in views
    return tuple(
        None
        if reading.measurement is None or reading.light is None
        else _colour(reading.photo, reading.measurement, reading.light, bores_alike)
        for reading in readings
    )


def _colour(photo: str, measured: Measurement, light: Light, bores_alike: bool) -> Colour:
    key = light.source if light.source.startswith("stored:") else f"photo:{photo}"
    samples = _centred(logarithms(measured.samples))
    of_light = _light_alone(light, measured.lab)
    if len(of_light) != len(samples):  # draws that are not the same ones cancel nothing
        of_light = np.zeros_like(samples)
    of_bore = samples - of_light
    part = BORE_SHARED if bores_alike else 0.0
    surface = np.maximum(measured.sd**2 - measured.samples.var(axis=0), 0.0)
    spread = _spread(measured.samples, np.sqrt(surface + ORDINARY_SPREAD**2))
    own = (1.0 - part) * _covariance(of_bore) + spread
    return Colour(logarithms(measured.lab), key, of_light + np.sqrt(part) * of_bore, own)


def _light_alone(light: Light, lab: Array) -> Array:
    """Deviations (n, 3) of a colour at the reference under the light's own draws."""
    wanted = _linear(lab_to_xyz(lab))
    rgb = wanted.copy()
    for _ in range(40):  # what the camera saw of it: the correction backwards, by fixed point
        rgb = rgb * np.clip(wanted / _linear(light.correction.xyz(rgb)), 0.1, 10.0)
    return _centred(logarithms(xyz_to_lab(light.samples.xyz(rgb))))


def _spread(samples: Array, sd: Array) -> Array:
    """Covariance (3, 3) of a colour whose L*, a*, b* spread by `sd`, over what it may truly be.

    samples: float64 (n, 3), CIELAB. Taken on the darker side, where the logarithms move most.
    """
    darker = samples[:, None] - np.diag(sd)  # (n, 3, 3), a row for each of L*, a* and b*
    darker[..., 0] = np.maximum(darker[..., 0], np.minimum(samples[:, None, 0], 1.0))
    moved = logarithms(samples)[:, None] - logarithms(darker)
    covariance: Array = np.mean(np.swapaxes(moved, -1, -2) @ moved, axis=0)
    return covariance


def _centred(values: Array) -> Array:
    deviations: Array = values - values.mean(axis=0)
    return deviations


def _linear(xyz: Array) -> Array:
    """Linear sRGB of XYZ, kept above zero."""
    rgb: Array = np.maximum(np.linalg.solve(RGB_TO_XYZ, xyz), 1e-6)
    return rgb


def _covariance(deviations: Array) -> Array:
    matrix: Array = deviations.T @ deviations / len(deviations)
    return matrix


def contrast(colours: Sequence[Colour], weights: Array) -> tuple[Array, Array]:
    """A weighted sum of colours, such as one minus the mean of the others.

    weights: float64 (m,), one for each colour, summing to 0.
    Returns the sum, float64 (3,), and its covariance, float64 (3, 3).
    """
    total = np.sum([w * c.value for w, c in zip(weights, colours, strict=True)], axis=0)
    covariance = np.sum([w * w * c.own for w, c in zip(weights, colours, strict=True)], axis=0)
    for key in {colour.key for colour in colours}:
        moved = [w * c.shared for w, c in zip(weights, colours, strict=True) if c.key == key]
        covariance = covariance + _covariance(np.sum(moved, axis=0))
    return total, covariance
