"""Photos with their truth, all of a set in memory: as tensors the GPU can cut views from."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import torch
from torch import Tensor

from pipelines.studio.truth import PlugTruth
from pipelines.tip_net.listing import SetFault, listed, read_pair
from tipvision.tip.net import VIEWS

LONGEST = 512
"""Larger photos are shrunk to it: so large the renders of the training looks are."""

PLUGS = 4
"""Plugs that a mask can hold: its values are part + 8 × number of the plug."""

STRAP = 5
"""Parts from 1 to this make up the firing end: nose, electrode, strap."""

LEFT_OVER = 31
"""Number that plugs get which the mask shows but the truth does not list, as next to nothing of
their nose shows: they are neither firing ends to be found nor background."""

LEAST_PIXELS = 8
"""Fewer visible pixels of a firing end are none (our estimate)."""


@dataclass(frozen=True)
class Stock:
    """A set of photos on one device.

    pixels: uint8 (n, 3, 512, 512) RGB, each photo in the top left corner. labels: uint8
    (n, 512, 512), masks, with `LEFT_OVER` for every plug not listed. sizes: float32 (n, 2), width
    and height of each photo in it.
    photo, plug, view: int64 (m,), for each firing end the photo's index, the number of the plug in
    the mask and the index into `VIEWS`. place: float32 (m, 4), middle x and y, larger extent of the
    visible firing end, and width of the nose, pixels.
    without: int64 (k,), photos that show no part of any plug.
    """

    pixels: Tensor
    labels: Tensor
    sizes: Tensor
    photo: Tensor
    plug: Tensor
    view: Tensor
    place: Tensor
    without: Tensor


def load(folders: Sequence[Path], device: torch.device, threads: int = 16) -> Stock:
    """Read all photos of the folders. Raises SetFault at the first that does not hold."""
    entries = listed(folders)
    pixels = torch.zeros((len(entries), 3, LONGEST, LONGEST), dtype=torch.uint8)
    labels = torch.zeros((len(entries), LONGEST, LONGEST), dtype=torch.uint8)
    sizes = torch.zeros((len(entries), 2))

    def one(k: int) -> list[tuple[int, int, int, float, float, float, float]]:
        photo, mask, scale = _fitted(*read_pair(entries[k]))
        mask = _with_left_over(mask, len(entries[k].truth.plugs))
        h, w = mask.shape
        pixels[k, :, :h, :w] = torch.from_numpy(np.ascontiguousarray(photo.transpose(2, 0, 1)))
        labels[k, :h, :w] = torch.from_numpy(mask)
        sizes[k] = torch.tensor([w, h])
        return _ends(k, mask, scale, entries[k].truth.plugs)

    with ThreadPoolExecutor(threads) as pool:
        ends = [end for found in pool.map(one, range(len(entries))) for end in found]
    if not ends:
        raise SetFault("No photo of the set shows a firing end.")
    table = torch.tensor(ends, dtype=torch.float64)
    shown = labels.flatten(1).amax(1)
    bare = [k for k, e in enumerate(entries) if not e.truth.plugs and not shown[k]]
    return Stock(
        pixels.to(device),
        labels.to(device),
        sizes.to(device),
        table[:, 0].long().to(device),
        table[:, 1].long().to(device),
        table[:, 2].long().to(device),
        table[:, 3:].float().to(device),
        torch.tensor(bare, dtype=torch.int64, device=device),
    )


def _with_left_over(mask: npt.NDArray[np.uint8], listed_plugs: int) -> npt.NDArray[np.uint8]:
    past = (mask >> 3 >= listed_plugs) & (mask > 0)
    return np.where(past, (mask & 7) + 8 * LEFT_OVER, mask).astype(np.uint8)


def _fitted(
    photo: npt.NDArray[np.uint8], mask: npt.NDArray[np.uint8]
) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint8], float]:
    scale = min(1.0, LONGEST / max(mask.shape))
    if scale == 1.0:
        return photo, mask, scale
    size = (max(1, round(mask.shape[1] * scale)), max(1, round(mask.shape[0] * scale)))
    small = cv2.resize(photo, size, interpolation=cv2.INTER_AREA)
    return small, cv2.resize(mask, size, interpolation=cv2.INTER_NEAREST_EXACT), scale


def _ends(
    k: int, mask: npt.NDArray[np.uint8], scale: float, plugs: tuple[PlugTruth, ...]
) -> list[tuple[int, int, int, float, float, float, float]]:
    out = []
    for number, plug in enumerate(plugs[:PLUGS]):
        rows, columns = np.nonzero((mask > 8 * number) & (mask <= 8 * number + STRAP))
        if len(rows) < LEAST_PIXELS:
            continue
        x0, x1, y0, y1 = columns.min(), columns.max() + 1, rows.min(), rows.max() + 1
        place = (float(x0 + x1) / 2, float(y0 + y1) / 2, float(max(x1 - x0, y1 - y0)))
        view = VIEWS.index(plug.view)
        out.append((k, number, view, *place, plug.nose_px * scale))
    return out
