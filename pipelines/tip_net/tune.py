"""What the nets reach on the tuning photos while they learn; the best score is kept."""

import math
from typing import Any

import torch
from torch import Tensor, nn

from pipelines.tip_net.losses import FOUND, found_counts, nose_overlap
from pipelines.tip_net.net import in_pixels
from pipelines.tip_net.photos import Stock
from pipelines.tip_net.views import coarse_views_of, fine_views_of
from tipvision.tip.seek import MIDDLE_LEAST

AT_ONCE = 128
NOSE_CLASSES = ((60.0, math.inf), (24.0, 60.0), (0.0, 24.0))
"""Widths of the nose in pixels, from and below, that are reported apart."""

FALSE_COST = 0.25
"""Of a false place over a missed one: the fine net looks at every place again (our estimate)."""


@torch.no_grad()
def coarse_figures(net: nn.Module, stock: Stock) -> dict[str, Any]:
    """`found`: share of firing ends under a peak that tipvision would look at. `first`: share of
    photos whose strongest cell is right, whatever its height. `false`: share of photos without a
    plug that have a peak."""
    counts = torch.zeros(len(FOUND), dtype=torch.int64, device=stock.pixels.device)
    for part in torch.arange(len(stock.pixels), device=stock.pixels.device).split(AT_ONCE):
        views = coarse_views_of(stock, part)
        counts += found_counts(net(views.pictures)[0], views, MIDDLE_LEAST)
    told = dict(zip(FOUND, counts.tolist(), strict=True))
    found = told["hits"] / max(told["there"], 1)
    first = told["first"] / max(told["with_any"], 1)
    false = told["false"] / max(told["bare"], 1)
    score = (found + first) / 2 - FALSE_COST * false
    return {"score": score, "found": found, "first": first, "false": false, "counts": told}


@torch.no_grad()
def fine_figures(net: nn.Module, stock: Stock) -> dict[str, Any]:
    """Overlap of the nose in every firing end, cropped nearly right, by its width in pixels; the
    score is the mean over noses that are wide enough to be read, or over all where none is."""
    overlap, width = nose_overlaps(net, stock).cpu(), stock.place[:, 3].cpu()
    read = overlap[width >= NOSE_CLASSES[1][0]]
    figures: dict[str, Any] = {"score": float((read if len(read) else overlap).mean())}
    for low, high in NOSE_CLASSES:
        chosen = overlap[(width >= low) & (width < high)]
        if len(chosen):
            name = f"{low:g}_px"
            figures |= {f"iou_{name}": float(chosen.mean()), f"n_{name}": len(chosen)}
            figures[f"p5_{name}"] = float(chosen.quantile(0.05))
    return figures


def nose_overlaps(net: nn.Module, stock: Stock) -> Tensor:
    """Overlap (m,) of the nose in every firing end of the stock."""
    found = []
    for part in torch.arange(len(stock.photo), device=stock.pixels.device).split(AT_ONCE):
        views = fine_views_of(stock, part)
        found.append(nose_overlap(in_pixels(net(views.pictures)[0]), views.parts))
    return torch.cat(found)
