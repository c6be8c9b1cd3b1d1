"""Crops and their truth as tensors on one device, and training views of them."""

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import torch
from threadpoolctl import threadpool_limits
from torch import Tensor
from torch.nn.functional import affine_grid, grid_sample

from pipelines.coat.crops import Crops
from pipelines.coat.net import LAB_UNIT
from pipelines.condition.rows import Table
from pipelines.tip_net.cameras import blurred, jpeg, noisy, shrunk
from tipvision.light.light import MID_GREY
from tipvision.measure.coat_view import BRIGHTEST, CHANNELS, COAT_PX, KNOWN, PARTS, coat_view
from tipvision.tip.tip import Part

SEEN = CHANNELS - KNOWN
"""Planes of a view that show pixels and parts; the others tell how well the light is known."""

LEVEL, CAST = (0.10, 0.22), (0.05, 0.10)
"""Spread of ln light by which views are made brighter and tinted: under a light whose level is
known, and under a guessed one (our estimate)."""

COLOURED, CURVED = (0.04, 0.22), (0.03, 0.18)
"""Likewise spread of ln saturation, and of ln gamma about mid grey: no light taken from the photo
undoes what a camera's tone curve did (our estimate)."""

MIDDLE = float(np.cbrt(MID_GREY / BRIGHTEST))
"""Of mid grey in a view."""

ZOOM, SHIFT = 0.18, 0.08
"""Spread of ln size, and of the middle over the side (our estimate)."""

SPOILT, SHRUNK = 0.4, 2.5
"""Share of the views that are blurred, get noise, are made small and stored as JPEG; how small at
most (our estimate)."""

UNSEEN = 0.06
"""Chance of each part beside the nose not to be made out (our estimate)."""


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
    picture = relit(view[:, :3], stock.doubt[index][:, 0] > 0)
    few = round(SPOILT * n)
    if few:
        spoilt = noisy(blurred(picture[:few])).clamp(0, 1)
        picture = torch.cat([jpeg(shrunk(spoilt, SHRUNK).clamp(0, 1)).clamp(0, 1), picture[few:]])
    made_out = torch.rand((n, len(PARTS), 1, 1), device=device) >= UNSEEN
    made_out[:, PARTS.index(Part.NOSE)] = True
    return _with_doubt(torch.cat([picture, view[:, 3:] * made_out], 1), stock.doubt[index])


def relit(picture: Tensor, known: Tensor) -> Tensor:
    """Pictures (n, 3, h, w), cube roots of light, in other light and of other cameras: a little
    where the level of the light is known (n,), much where it is guessed; clipped to 0 to 1."""

    def drawn(spread: tuple[float, float], channels: int = 1) -> Tensor:
        wide = torch.where(known, *spread)[:, None, None, None]
        return wide * torch.randn((len(picture), channels, 1, 1), device=picture.device)

    picture = picture * torch.exp((drawn(LEVEL) + drawn(CAST, 3)) / 3)
    grey = picture.mean(1, keepdim=True)
    picture = (grey + (picture - grey) * torch.exp(drawn(COLOURED))).clamp(1e-4, 1)
    return (MIDDLE * (picture / MIDDLE) ** torch.exp(drawn(CURVED))).clamp(0, 1)


def _with_doubt(view: Tensor, doubt: Tensor) -> Tensor:
    planes = doubt[:, :, None, None].expand(-1, KNOWN, *view.shape[2:])
    return torch.cat([view, planes], 1)
