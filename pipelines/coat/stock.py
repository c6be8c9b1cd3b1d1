"""Crops and their truth as tensors on one device, and training views of them."""

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from threadpoolctl import threadpool_limits
from torch import Tensor
from torch.nn.functional import affine_grid, grid_sample

from pipelines.coat.crops import Crops, read_crops
from pipelines.coat.net import LAB_UNIT
from pipelines.condition.rows import Table, read_table
from pipelines.tip_net.cameras import blurred, noisy
from tipvision.measure.coat_view import CHANNELS, COAT_PX, KNOWN, coat_view

SEEN = CHANNELS - KNOWN
"""Planes of a view that show pixels and parts; the others tell how well the light is known."""

LEVEL, CAST = 0.12, 0.06
"""Spread of ln light by which views are made brighter and tinted (our estimate)."""

ZOOM, SHIFT = 0.18, 0.08
"""Spread of ln size, and of the middle over the side (our estimate)."""

SPOILT = 0.3
"""Share of the views that are blurred and get noise."""


@dataclass(frozen=True)
class Stock:
    """views: uint8 (r, SEEN, 128, 128), as `coat_view` gives them times 255. doubt: float32 (r, 3).
    shares: float32 (r, 6), of `LABELS`. findings: float32 (r, 14), 0 or 1. wet: float32 (r,), nan
    where it is not known. lab: float32 (r, 3), over `LAB_UNIT`. weight: float32 (r,), how often a
    row is drawn: one of a plug with more rows less often, though all of that plug together more."""

    views: Tensor
    doubt: Tensor
    shares: Tensor
    findings: Tensor
    wet: Tensor
    lab: Tensor
    weight: Tensor

    def of(self, index: Tensor) -> "Stock":
        """Some of the rows."""
        return Stock(**{name: value[index] for name, value in vars(self).items()})


def read(rows: Sequence[Path], crops: Sequence[Path]) -> tuple[Table, Crops]:
    """A table and the crops of its rows. Raises ValueError where their counts differ."""
    table, held = read_table(rows), read_crops(crops)
    if len(table) != len(held.cuts):
        raise ValueError(f"{len(table)} rows and {len(held.cuts)} crops: name files of one run.")
    return table, held


def stocked(table: Table, crops: Crops, device: torch.device, threads: int = 16) -> Stock:
    """All rows on the device."""
    views = torch.empty((len(table), SEEN, COAT_PX, COAT_PX), dtype=torch.uint8)

    def one(k: int) -> None:
        view = coat_view(crops.cuts[k], crops.lights[k])
        views[k] = torch.from_numpy(np.round(view * 255).astype(np.uint8))

    with threadpool_limits(1), ThreadPoolExecutor(threads) as pool:
        list(pool.map(one, range(len(table))))
    alone = (table.label == "none").astype(np.float32)
    shares = np.concatenate([table.shares[:, :-1], table.shares[:, -1:] + alone[:, None]], 1)
    shares = shares / np.maximum(shares.sum(1, keepdims=True), 1e-6)
    _, plug, often = np.unique(table.plug, return_inverse=True, return_counts=True)
    arrays = {
        "doubt": crops.doubt,
        "shares": shares,
        "findings": table.findings.astype(np.float32),
        "wet": crops.shine,
        "lab": table.nose_lab / LAB_UNIT,
        "weight": 1 / np.sqrt(often[plug]),
    }
    tensors = {k: torch.from_numpy(np.asarray(v, np.float32)).to(device) for k, v in arrays.items()}
    return Stock(views.to(device), **tensors)


def plain(stock: Stock, index: Tensor) -> Tensor:
    """Views of these rows as tipvision makes them, (n, CHANNELS, 128, 128)."""
    return _with_doubt(stock.views[index].float() / 255, stock.doubt[index])


def varied(stock: Stock, index: Tensor) -> Tensor:
    """Views of these rows turned, mirrored, moved, zoomed, in other light, some of them spoilt."""
    view = stock.views[index].float() / 255
    n, device = len(view), view.device
    turn = torch.rand(n, device=device) * 2 * math.pi
    mirror = torch.where(torch.rand(n, device=device) < 0.5, 1.0, -1.0)
    zoom = torch.exp(torch.randn(n, device=device) * ZOOM)
    shift = torch.randn((n, 2), device=device) * SHIFT * 2
    c, s = turn.cos() * zoom, turn.sin() * zoom
    right = torch.stack([c * mirror, -s, shift[:, 0]], 1)
    down = torch.stack([s * mirror, c, shift[:, 1]], 1)
    grid = affine_grid(torch.stack([right, down], 1), list(view.shape), False)
    view = grid_sample(view, grid, padding_mode="border", align_corners=False)
    light = torch.randn((n, 1, 1, 1), device=device) * LEVEL
    light = light + torch.randn((n, 3, 1, 1), device=device) * CAST
    picture = view[:, :3] * torch.exp(light / 3)  # the view holds cube roots
    few = round(SPOILT * n)
    spoilt = noisy(blurred(picture[:few])) if few else picture[:0]
    picture = torch.cat([spoilt, picture[few:]]).clamp(0, 1)
    return _with_doubt(torch.cat([picture, view[:, 3:]], 1), stock.doubt[index])


def _with_doubt(view: Tensor, doubt: Tensor) -> Tensor:
    planes = doubt[:, :, None, None].expand(-1, KNOWN, *view.shape[2:])
    return torch.cat([view, planes], 1)
