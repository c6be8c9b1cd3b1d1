"""What each labelled photo tells of the light at its nose, with the true nose and the true colour.

The nose is taken from the photo's mask, so that a finder's errors do not pass for light.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.studio.truth import PLUG_STEP, PhotoTruth, PlugTruth, read_manifest
from tipvision.colour.lab import lab_to_xyz
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.chart.editions import LATEST
from tipvision.light.chart.find import find_chart
from tipvision.light.estimate import estimated_light
from tipvision.light.from_chart import fit_of_chart
from tipvision.light.know import know_light
from tipvision.light.light import Light
from tipvision.light.said import Said
from tipvision.light.stored import StoredLight, conditions_of
from tipvision.measure.around import light_features
from tipvision.measure.bands import load_bands
from tipvision.measure.measure import measure
from tipvision.measure.reduced import LONGEST_WINDOW
from tipvision.photo.box import Box
from tipvision.photo.photo import Photo, Window, open_photo
from tipvision.tip.tip import Part, Tip

Array = NDArray[np.float64]
FEWEST_PX = 12.0  # across: of a smaller nose the pixels at its edge are most
FLOOR = 5e-4  # of luminance: black, to what 8-bit codes tell
MARGIN = 0.3  # of a plug's box, shown round it
PARTS = {1: Part.NOSE, 2: Part.GLARE, 4: Part.ELECTRODE, 5: Part.STRAP, 6: Part.SHELL}


@dataclass(frozen=True)
class Row:
    """One plug under one light.

    measured: whether that light's level was measured (chart, card, stored), or metered by the
              camera. source: of the light.
    miss:     ln(true luminance / luminance by the light at the reference).
    cast_miss: float64 (2,), the same for red/green and blue/green in linear sRGB.
    own_sd:   standard deviation of ln(luminance) over the light's own samples.
    features: as `light_features` gives them.
    ln_true:  float64 (3,), ln of linear sRGB of the nose. ln_samples: float64 (64, 3), of it as
              measured.
    own_cast_sd: as `own_sd`, of ln(red/green) and ln(blue/green) together.
    """

    file: str
    source: str
    measured: bool
    miss: float
    cast_miss: Array
    own_sd: float
    own_cast_sd: float
    view: str
    features: Mapping[str, float]
    ln_true: Array
    ln_samples: Array


def rows_of(folder: Path) -> Iterator[Row]:
    """Rows of every plug whose nose shows, in a folder with a manifest, once under the best light
    that was measured and once under the estimate."""
    for truth in read_manifest(folder / "manifest.jsonl"):
        if not truth.plugs or truth.mask is None:
            continue
        photo = open_photo(str(folder / truth.file))
        overview = photo.overview()
        lights = [estimated_light(overview)]
        best, _ = know_light(photo, overview, Said(stored=stored_light_of(folder, truth)))
        if best.level_known:
            lights.append(best)
        mask = cv2.imread(str(folder / truth.mask), cv2.IMREAD_GRAYSCALE)
        assert mask is not None
        for n, plug in enumerate(truth.plugs):
            seen = _tip(photo, mask, n, plug)
            for light in lights if seen is not None else ():
                row = _row(truth.file, plug, *seen, light)
                if row is not None:
                    yield row


def stored_light_of(folder: Path, truth: PhotoTruth) -> StoredLight | None:
    """The light kept from the photo of the chart that goes with a photo, or None where there is
    none or its chart is refused."""
    if truth.stored_light is None:
        return None
    photo = open_photo(str(folder / truth.stored_light.file))
    overview = photo.overview()
    view = find_chart(overview, photo.size)
    if view is None:
        return None
    fit = fit_of_chart(photo, view, LATEST)
    if fit.correction is None or fit.samples is None:
        return None
    conditions = conditions_of(photo.metadata, overview)
    return StoredLight("lamp", fit.correction, fit.samples, fit.verdict, fit.mean, conditions)


def _tip(
    photo: Photo, mask: NDArray[np.uint8], number: int, plug: PlugTruth
) -> tuple[Window, Tip] | None:
    if plug.box is None or plug.nose_lab is None or plug.nose_px < FEWEST_PX:
        return None
    left, top, width, height = plug.box
    margin = round(MARGIN * max(width, height))
    box = Box(left - margin, top - margin, left + width + margin, top + height + margin)
    box = box.within(*photo.size)
    shown = mask[box.y0 : box.y1, box.x0 : box.x1]
    own = (shown // PLUG_STEP) == number
    labels = np.zeros(shown.shape, np.uint8)
    for value, part in PARTS.items():
        labels[own & (shown % PLUG_STEP == value)] = part
    if not (labels == Part.NOSE).any():
        return None
    tip = Tip(box, labels, (), plug.nose_px, plug.view, 1.0)
    return photo.window(box, LONGEST_WINDOW), tip


def _row(file: str, plug: PlugTruth, window: Window, tip: Tip, light: Light) -> Row | None:
    found = measure(window, tip, light, load_bands())
    if found is None or plug.nose_lab is None:
        return None
    size = (window.clipped.shape[1], window.clipped.shape[0])
    labels = np.asarray(cv2.resize(tip.labels, size, interpolation=cv2.INTER_NEAREST), np.uint8)
    luminance = light.correction.luminance(window.linear)
    true = np.array(plug.nose_lab)
    ln_true, ln_found = _ln_rgb(true), _ln_rgb(found.lab)
    off, samples = ln_true - ln_found, _ln_rgb(found.samples)
    return Row(
        file=file,
        source=light.source,
        measured=light.level_known,
        miss=float(_ln_luminance(true) - _ln_luminance(found.lab)),
        cast_miss=off[[0, 2]] - off[1],
        own_sd=float(_ln_luminance(found.samples).std()),
        own_cast_sd=float(np.sqrt((samples[:, [0, 2]] - samples[:, [1]]).var(axis=0).mean())),
        view=plug.view,
        features=light_features(luminance, labels, tip.visible),
        ln_true=ln_true,
        ln_samples=samples,
    )


def _ln_luminance(lab: Array) -> Array:
    """ln of the luminance of CIELAB colours (..., 3), kept above black."""
    return np.log(np.maximum(lab_to_xyz(lab)[..., 1], FLOOR))


def _ln_rgb(lab: Array) -> Array:
    """ln of linear sRGB of CIELAB colours (..., 3), kept above black."""
    return np.log(np.maximum(lab_to_xyz(lab) @ np.linalg.inv(RGB_TO_XYZ).T, FLOOR))
