"""Labels of pixels: which part of which plug, and what the nose that shows is like."""

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.studio.geometry.mesh import Array
from pipelines.studio.materials.spectra import lab
from pipelines.studio.materials.surface import Surface, mean_reflectance, wet_share
from pipelines.studio.staging.stage import part_of
from pipelines.studio.truth import PLUG_STEP

Labels = npt.NDArray[np.uint8]
NoseTruth = tuple[tuple[float, float, float] | None, float | None]
"""CIELAB of the nose that shows and the share of it that is wet, both None where none shows."""

LABEL_OF = {
    "nose": 1,
    "electrode": 4,
    "strap": 5,
    "shell": 6,
    "gasket": 6,
    "hex": 6,
    "drops": 6,
    "upper": 7,
    "terminal": 7,
}
"""Label of a plug's part by the name of its item."""

NOSE, GLARE, DEEP, UPPER = 1, 2, 3, 7


def label_of(item: str) -> int:
    """Mask value of an item by its name, part + 8 × the plug's number from 0; 0 for no plug's."""
    part, number = part_of(item)
    label = LABEL_OF.get(part, 0)
    return label + PLUG_STEP * (number - 1) if label else 0


def majority(labels: Labels, k: int) -> Labels:
    """The commonest label of each pixel's k×k sub-pixels; ties go to the smaller value.

    `labels` is (height·k, width·k) uint8, the result (height, width) uint8.
    """
    height, width = labels.shape[0] // k, labels.shape[1] // k
    blocks = labels.reshape(height, k, width, k)
    values = np.unique(labels)
    best = np.zeros((height, width), np.int64)
    out = np.zeros((height, width), np.uint8)
    for value in values:
        count = (blocks == value).sum(axis=(1, 3))
        out[count > best] = value
        best = np.maximum(best, count)
    return out


def nose_truth(surface: Surface, uv: Array) -> NoseTruth:
    """Colour and shine of the nose's surface at uv (n, 2), the sub-pixels where it shows."""
    if len(uv) == 0:
        return None, None
    lightness, a, b = (round(float(v), 2) for v in lab(mean_reflectance(surface, uv)))
    return (lightness, a, b), round(float(wet_share(surface, uv)), 3)


def box_of(mask: Labels, number: int) -> tuple[int, int, int, int] | None:
    """Left, top, width, height of what shows of nose, electrode, strap and shell of a plug.

    `number` counts from 0. None where nothing of them shows.
    """
    part = np.where(mask // PLUG_STEP == number, mask % PLUG_STEP, 0)
    left, top, width, height = cv2.boundingRect(((part > 0) & (part < UPPER)).astype(np.uint8))
    return (int(left), int(top), int(width), int(height)) if width else None


def shows_nose(mask: Labels, number: int) -> bool:
    """Whether a pixel shows the nose of a plug, its number counting from 0; deep parts of it in the
    bore do not count."""
    nose = PLUG_STEP * number + NOSE
    return bool(np.any((mask == nose) | (mask == nose + GLARE - NOSE)))


def renumbered(mask: Labels, order: list[int]) -> Labels:
    """The mask with plug `order[k]` as number k; `order` names every plug number once."""
    table = np.arange(256, dtype=np.uint8)
    for new, old in enumerate(order):
        parts = np.arange(1, PLUG_STEP)
        table[old * PLUG_STEP + parts] = new * PLUG_STEP + parts
    return table[mask]
