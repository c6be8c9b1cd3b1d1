"""One photo with truth, put through tipvision's own tip stage: what became of each plug in it."""

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.tip_net.classical.find import find_tips
from pipelines.tip_net.listing import Entry, read_pair
from tipvision.measure.reduced import window_on
from tipvision.photo.photo import Photo, open_photo
from tipvision.reading import MAYBE_A_PLUG
from tipvision.tip.closer import full_pixels
from tipvision.tip.gates import edge_width, gates
from tipvision.tip.labels import mask_image
from tipvision.tip.net import TipNet, default_net, load_net
from tipvision.tip.seek import seek_tips
from tipvision.tip.tip import Part, Tip, TipSearch

ELSEWHERE = 0.1
"""A tip whose nose overlaps the true one by less is somewhere else (our estimate)."""

LEAST_NOSE = 8
"""Pixels of visible nose; with fewer there is nothing to be found."""

Outlines = tuple[npt.NDArray[np.float64], ...]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Outcome:
    """What became of one true plug, or of a photo without any (`nose_px` 0).

    state: answered, refused or missed; for a photo without a plug, false_plug or clear. overlap:
    intersection over union of the nose, None where no tip was on it. reasons: codes of a refusal.
    cells: what the photo is like, by the name of a curve.
    """

    photo: str
    mask: str | None
    number: int
    nose_px: float
    state: str
    overlap: float | None
    reasons: tuple[str, ...]
    outlines: Outlines
    cells: dict[str, str] = field(default_factory=dict)


def judged(entry: Entry, finder: str, model: Path | None) -> list[Outcome]:
    """Run the finder (`net`, or `rings` for the classical peer) on a photo and compare with its
    truth; none for a photo that says nothing either way."""
    shown, mask = read_pair(entry)
    photo = open_photo(str(entry.photo))
    search = _searched(photo, finder, model)
    cells = {
        "light": "+".join(sorted(part.illuminant for part in entry.truth.light)),
        "white balance": entry.truth.white_balance,
        "exposure": _brightness(shown),
    }
    common = (str(entry.photo), None if entry.mask is None else str(entry.mask))
    if not entry.truth.plugs:
        if mask.any():
            return []  # a plug of which next to nothing shows: neither to be found nor absent
        state = "false_plug" if search.tips else "clear"
        outlines = search.tips[0].outlines if search.tips else ()
        return [Outcome(*common, 0, 0.0, state, None, (), outlines, cells)]
    out = []
    for number, plug in enumerate(entry.truth.plugs):
        nose = (mask == 8 * number + 1) | (mask == 8 * number + 2)
        if nose.sum() < LEAST_NOSE:
            continue
        deep = mask == 8 * number + 3
        tip, overlap = nearest_tip(search.tips, nose, deep)
        cells = {
            **cells,
            "view": plug.view,
            "condition": str(plug.condition),
            "blur": _sharpness(shown, nose, plug.nose_px),
            "size": _size(plug.nose_px),
            "plugs in the photo": str(len(entry.truth.plugs)),
        }
        state, reasons = _state(photo, tip, search)
        outlines = () if tip is None else tip.outlines
        told = None if tip is None else overlap
        out.append(Outcome(*common, number, plug.nose_px, state, told, reasons, outlines, cells))
    return out


@cache
def _net(model: Path | None) -> TipNet:
    return default_net() if model is None else load_net(model)


def _searched(photo: Photo, finder: str, model: Path | None) -> TipSearch:
    if finder == "rings":
        return find_tips(photo.overview(), photo.size)
    return seek_tips(_net(model), photo.overview(), photo.size, closer=full_pixels(photo))


def nearest_tip(tips: tuple[Tip, ...], nose: Mask, deep: Mask) -> tuple[Tip | None, float]:
    """The tip whose nose overlaps the true one most, and that overlap; none under `ELSEWHERE`."""
    best, overlap = None, ELSEWHERE
    size = (nose.shape[1], nose.shape[0])
    for tip in tips:
        labels = mask_image((tip,), size)
        found = ((labels == Part.NOSE) | (labels == Part.GLARE)) & ~deep
        here = float((found & nose).sum() / max((found | nose).sum(), 1))
        if here >= overlap:
            best, overlap = tip, here
    return best, overlap


def _state(photo: Photo, tip: Tip | None, search: TipSearch) -> tuple[str, tuple[str, ...]]:
    if tip is None:
        if not search.tips and search.plug_likely >= MAYBE_A_PLUG:
            return "refused", ("tip_not_found",)
        return "missed", ()
    window = window_on(photo, tip)
    reasons = tuple(reason.code for reason in gates(tip, window.linear, window.clipped))
    return ("refused" if reasons else "answered"), reasons


def _brightness(shown: npt.NDArray[np.uint8]) -> str:
    level = float(np.median(shown.mean(axis=2)))
    return _step(level, (50, 90, 140, 190), "median code")


def _sharpness(shown: npt.NDArray[np.uint8], nose: Mask, nose_px: float) -> str:
    rows, columns = np.nonzero(nose)
    reach = round(0.3 * nose_px) + 2
    top, left = max(0, rows.min() - reach), max(0, columns.min() - reach)
    crop = shown[top : rows.max() + reach, left : columns.max() + reach]
    light = (cv2.cvtColor(crop, cv2.COLOR_RGB2GRAY).astype(np.float32) / 255) ** 2.2
    return _step(edge_width(light, nose_px), (2.5, 4.0, 6.0), "edge px")


def _size(nose_px: float) -> str:
    return _step(nose_px, (12, 24, 40, 60, 100, 160), "nose px")


def _step(value: float, steps: tuple[float, ...], unit: str) -> str:
    for k, step in enumerate(steps):
        if value < step:
            low = "under" if k == 0 else f"{steps[k - 1]:g} to"
            return f"{low} {step:g} {unit}"
    return f"{steps[-1]:g} {unit} and more"
