"""From the pixels of a window, the masks of a tip and the light to one Measurement."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.at_the_nose import NoseLight, at_the_nose
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.measure.around import light_features
from tipvision.measure.bands import Band, distances, nearest
from tipvision.measure.beside import LEAST_PIXELS, beside_signs, metal_in, some_of
from tipvision.measure.coat import CoatNets, coat_signs
from tipvision.measure.measurement import Measurement
from tipvision.measure.reduced import close_up, reduced
from tipvision.measure.relief import relief_signs
from tipvision.measure.surface import shine, specks, texture
from tipvision.measure.zones import zone_means, zones_of
from tipvision.photo.photo import Window
from tipvision.quantiles import channel_medians
from tipvision.tip.tip import Part, Tip

RIND = 0.05  # of the nose's width: so near its edge other parts may show (our estimate)
MOST_LEFT_OUT = 0.05  # share of burnt-out pixels up to which they are left out of the colour; of a
# nose that is burnt out in large part the rest would be darker than the whole (our estimate)
LEAST_CORE = 0.2  # share of the nose that must be left, or the rind is kept (our estimate)


def measure(
    window: Window,
    tip: Tip,
    light: Light,
    bands: tuple[Band, ...],
    nose_light: NoseLight | None = None,
    coat_nets: CoatNets | None = None,
) -> Measurement | None:
    """Colour and surface of the nose of `tip` in `window`, which shows `tip.box`.

    nose_light: how much of the light arrives at the nose; None takes all of it to do so.
    coat_nets: what look at the coat as a whole; None leaves their signs out.

    None when no zone of the nose keeps enough pixels without glare and clipping.
    """
    seen = {} if coat_nets is None else coat_signs(window, tip.labels, light, coat_nets)
    window, labels, nose, across = reduced(window, tip.labels)
    near = close_up(nose)
    core = _core_of(nose[near], across)
    clean = core & (labels[near] == Part.NOSE)
    clipped = window.clipped[near]
    if (clean & clipped).sum() <= MOST_LEFT_OUT * clean.sum():
        clean &= ~clipped
    zones, weights = zone_means(window.linear[near], zones_of(clean))
    if weights.size == 0:
        return None
    luminance = light.correction.fast_luminance(window.linear)
    signs = {
        **seen,
        **relief_signs(window.linear[near], luminance[near], labels[near], core, across),
        **beside_signs(window.linear, luminance, labels, _placed(core, near, nose.shape), across),
    }
    if nose_light is not None:
        features = light_features(luminance, labels, tip.visible)
        before = light.correction
        light = at_the_nose(light, weights @ zones, tip.view, features, nose_light)
        luminance = luminance * np.float32(_gain(before, light.correction))
    zone_lab = xyz_to_lab(light.correction.xyz(zones))
    lab = _mean_lab(zones, weights, light.correction)
    samples = _mean_lab(zones, weights, light.samples)
    surface_sd = np.sqrt(weights @ (zone_lab - lab) ** 2 / weights.size)
    owner = nearest(zone_lab, bands)
    luminance = luminance[near]
    lightness = np.zeros(clean.shape, np.float32)
    lightness[clean] = _lightness(luminance[clean])
    return Measurement(
        lab=lab,
        sd=np.sqrt(samples.var(axis=0) + surface_sd**2),
        samples=samples,
        zones=zone_lab,
        weights=weights,
        bands=distances(lab, bands),
        shares={b.name: float(weights[owner == i].sum()) for i, b in enumerate(bands)},
        shine=shine(luminance, core),
        texture=texture(lightness, clean, across),
        evenness=float(np.sqrt(weights @ (zone_lab[:, 0] - lab[0]) ** 2)),
        specks=specks(lightness, clean, across),
        glare=float((labels == Part.GLARE).sum() / nose.sum()),
        clipped=float(window.clipped[nose].mean()),
        metal=_metal_lab(window.linear, labels, light.samples),
        signs=signs,
    )


def _placed(
    part: NDArray[np.bool_], at: tuple[slice, slice], shape: tuple[int, ...]
) -> NDArray[np.bool_]:
    """A part of a mask as a mask of the whole shape."""
    whole = np.zeros(shape, bool)
    whole[at] = part
    return whole


def _metal_lab(
    linear: NDArray[np.float32], labels: NDArray[np.uint8], samples: Correction
) -> NDArray[np.float64]:
    metal = some_of(metal_in(labels))
    if metal[0].size < LEAST_PIXELS:
        return np.empty((0, 3))
    return np.asarray(xyz_to_lab(samples.xyz(channel_medians(linear[metal]))))


def _core_of(nose: NDArray[np.bool_], across: float) -> NDArray[np.bool_]:
    """The nose without the rind where strap, electrode and clearance may be mixed in."""
    reach = 2 * max(1, round(RIND * across)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    core = cv2.erode(nose.astype(np.uint8), kernel, borderValue=0) > 0
    return np.asarray(core if core.sum() >= LEAST_CORE * nose.sum() else nose)


def _mean_lab(
    zones: NDArray[np.float64], weights: NDArray[np.float64], correction: Correction
) -> NDArray[np.float64]:
    """Lab of the nose as a whole under one correction or each of a stack: light adds up, Lab
    does not, so zones are averaged in XYZ."""
    return np.asarray(xyz_to_lab(np.swapaxes(correction.xyz(zones), -1, -2) @ weights))


def _gain(before: Correction, after: Correction) -> float:
    """The factor between two corrections that differ in one alone."""
    white = np.ones((1, 3))
    return float(after.luminance(white)[0] / before.luminance(white)[0])


def _lightness(luminance: NDArray[np.float32]) -> NDArray[np.float32]:
    """L* of luminances, float32 of the same shape."""
    return np.asarray(xyz_to_lab(luminance[..., None] * D65_WHITE)[..., 0], np.float32)
