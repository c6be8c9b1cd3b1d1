"""What a window of a render shows: what it should keep, and the truth and mask of what is in it."""

from dataclasses import replace

import numpy as np

from pipelines.studio.camera import Crop
from pipelines.studio.known import seen_in, shows
from pipelines.studio.labels import DEEP, UPPER, Labels, box_of, renumbered, shows_nose
from pipelines.studio.store import Linear
from pipelines.studio.truth import MOST_PLUGS, PLUG_STEP, PhotoTruth, PlugTruth, ReferenceTruth
from pipelines.studio.truth_checks import REFERENCES

Box = tuple[int, int, int, int]

LEAST = 0.05
"""Share of the nose that the render shows: a plug with less of it in a photo is not listed."""

STRAP = 5


def kept(linear: Linear, seed: int, references: bool = True) -> Box | None:
    """Box of the render that a photo is to show: left, top, width, height; None for nothing.

    It holds the firing ends of all plugs, but in half of the photos of a row only one of them; and
    a reference as far as the render shows it, but in 15 % of its photos, and of a grey card as a
    rule, only half of that: any part of a grey card is as good as the whole. Without `references`
    it heeds none where there is a plug to see.
    """
    rng = np.random.default_rng([seed, 47])
    height, width = linear.mask.shape
    numbers = list(range(len(linear.truth.plugs)))
    one, whole = rng.random() < 0.5, rng.random() < 0.85
    which = int(rng.integers(max(1, len(numbers))))
    boxes = [_firing_end(linear.mask, [which] if one and len(numbers) > 1 else numbers)]
    for reference in linear.truth.references if references or boxes[0] is None else ():
        if reference.kind in REFERENCES:
            grey = reference.kind == "grey_card" and rng.random() < 0.8
            boxes.append(_shown(reference, (width, height), whole and not grey))
    known = [b for b in boxes if b is not None]
    if not known:
        return None
    low = np.min([b[:2] for b in known], axis=0)
    high = np.max([(b[0] + b[2], b[1] + b[3]) for b in known], axis=0)
    return int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1])


def largest_nose(linear: Linear, box: Box) -> float:
    """Pixels across of the largest nose that the render shows in the box; 0 without any."""
    left, top, width, height = box
    here = linear.mask[top : top + height, left : left + width]
    shown = {int(v) // PLUG_STEP for v in np.unique(here) if 1 <= v % PLUG_STEP <= DEEP}
    plugs = linear.truth.plugs
    return max((plugs[k].nose_px for k in shown if k < len(plugs)), default=0.0)


def _firing_end(mask: Labels, numbers: list[int]) -> Box | None:
    """Box of nose, electrode and strap of these plugs; None where there is none."""
    part = np.where(np.isin(mask // PLUG_STEP, numbers), mask % PLUG_STEP, 0)
    rows, columns = np.nonzero((part >= 1) & (part <= STRAP))
    if len(rows) == 0:
        return None
    left, top = int(columns.min()), int(rows.min())
    return left, top, int(columns.max()) + 1 - left, int(rows.max()) + 1 - top


def _shown(reference: ReferenceTruth, size: tuple[int, int], whole: bool) -> Box | None:
    """Box of a reference within the frame, or of the half of it about the middle of that."""
    points = np.clip(np.array(reference.corners), 0, size)
    low, high = np.floor(points.min(0)), np.ceil(points.max(0))
    if not whole:
        low, high = (low + high) / 2 - (high - low) / 4, (low + high) / 2 + (high - low) / 4
    if np.any(high - low < 1):
        return None
    return int(low[0]), int(low[1]), int(high[0]) - int(low[0]), int(high[1]) - int(low[1])


def in_crop(known: PhotoTruth, mask: Labels, crop: Crop) -> tuple[PhotoTruth, Labels]:
    """Truth and mask of a window of a render whose truth and mask are given.

    Plugs of which nothing to speak of shows (`LEAST`) are not listed any more: what the mask says
    of their parts stays, under the numbers after the last plug listed. One listed without a pixel
    of its nose has no colour and shine of it. References out of the window are not listed; the
    others keep their corners, also those beyond its edges.
    """
    cut = crop.mask(mask)
    order = [k for k in range(len(known.plugs)) if _listed(mask, crop, k)]
    cut = renumbered(cut, order + [k for k in range(MOST_PLUGS) if k not in order])
    zoom = crop.out_width / crop.width
    size = (crop.out_width, crop.out_height)
    placed = [(r, crop.points(np.array(r.corners)).tolist()) for r in known.references]
    return replace(
        known,
        size=size,
        plugs=tuple(_closer(known.plugs[old], zoom, cut, new) for new, old in enumerate(order)),
        references=tuple(
            seen_in(r.kind, corners, r.state, size) for r, corners in placed if shows(corners, size)
        ),
        mask=known.mask if order else None,
    ), cut


def _listed(mask: Labels, crop: Crop, number: int) -> bool:
    """Whether enough of a plug's nose, or of the rest of its firing end if that hides it, shows."""
    part = np.where(mask // PLUG_STEP == number, mask % PLUG_STEP, 0)
    seen = (part >= 1) & (part <= DEEP)
    if not seen.any():
        seen = (part > DEEP) & (part < UPPER)
    inside = seen[crop.top : crop.top + crop.height, crop.left : crop.left + crop.width].sum()
    return bool(inside > 0 and inside >= LEAST * seen.sum())


def _closer(plug: PlugTruth, zoom: float, cut: Labels, number: int) -> PlugTruth:
    """The truth of a plug that has this number in the mask of the photo."""
    seen = shows_nose(cut, number)
    return replace(
        plug,
        nose_lab=plug.nose_lab if seen else None,
        shine=plug.shine if seen else None,
        nose_px=round(plug.nose_px * zoom, 1),
        px_per_mm=round(plug.px_per_mm * zoom, 3),
        box=box_of(cut, number),
    )
