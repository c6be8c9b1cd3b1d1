"""What the nets are trained to lower, and the figures that pick the best of them.

Nothing here waits for the GPU: what does not count is weighed with zero, not left out.
"""

import math

import torch
from torch import Tensor
from torch.nn.functional import (
    binary_cross_entropy_with_logits,
    cross_entropy,
    logsigmoid,
    max_pool2d,
    smooth_l1_loss,
)

from pipelines.tip_net.net import STRIDE, in_pixels
from pipelines.tip_net.views import DEEP, UNKNOWN, CoarseViews, FineViews
from tipvision.tip.net import COARSE_PX

# source of all weights: our estimate
SIZE_WEIGHT, PLUG_WEIGHT = 1.0, 0.3
DICE_WEIGHT, HERE_WEIGHT, QUALITY_WEIGHT, WIDTH_WEIGHT, VIEW_WEIGHT = 2.0, 0.5, 0.3, 0.3, 0.15


TOP = 0.999
"""Heat of the one cell in which a middle lies."""

SIZE_RIGHT = 1.6
"""A size counts as right within this factor."""

FOUND = ("hits", "there", "first", "with_any", "false", "bare")
"""What `found_counts` counts."""


def coarse_loss(maps: Tensor, plug: Tensor, views: CoarseViews) -> Tensor:
    """Focal loss of the middles (published: Law and Deng 2018, CornerNet, from memory), absolute
    error of the log sizes, cross entropy of the plug."""
    logit, size = maps[:, 0].float(), maps[:, 1].float()
    sure, top = logit.sigmoid(), views.heat > TOP
    hit = (1 - sure) ** 2 * logsigmoid(logit) * top
    miss = (1 - views.heat) ** 4 * sure**2 * logsigmoid(-logit) * ~top
    heat = -((hit + miss) * views.counts).sum() / top.sum().clamp(min=1)
    near = ~views.size.isnan()
    sizes = _mean((size - views.size.nan_to_num()).abs(), near)
    known = ~views.plug.isnan()
    seen = _mean(_entropy(plug[:, 0].float(), views.plug.nan_to_num()), known)
    return heat + SIZE_WEIGHT * sizes + PLUG_WEIGHT * seen


def fine_loss(parts: Tensor, told: Tensor, views: FineViews) -> Tensor:
    """Cross entropy of the parts, Dice of the nose, and errors of what the net tells of the crop.

    The overlap that the net shall expect is the one it has at that moment.
    """
    told = told.float()
    known, good = ~views.here.isnan(), views.here == 1
    logits = in_pixels(parts.float())
    truth = views.parts
    each = cross_entropy(logits, truth, ignore_index=UNKNOWN, reduction="none")
    loss = _mean(each, known[:, None, None] & (truth != UNKNOWN))
    chance = logits.softmax(1)[:, 1:3].sum(1)
    nose, counted = _is_nose(truth).float(), _counted(truth).float()
    both = (chance * nose * counted).sum((1, 2))
    total = ((chance + nose) * counted).sum((1, 2))
    loss = loss + DICE_WEIGHT * _mean(1 - (2 * both + 20) / (total + 20), known)
    loss = loss + HERE_WEIGHT * _mean(_entropy(told[:, 0], views.here.nan_to_num()), known)
    overlap = nose_overlap(logits.detach(), truth)
    loss = loss + QUALITY_WEIGHT * _mean(_entropy(told[:, 1], overlap), good)
    width = smooth_l1_loss(told[:, 2], views.width.nan_to_num(), beta=0.1, reduction="none")
    loss = loss + WIDTH_WEIGHT * _mean(width, ~views.width.isnan())
    view = cross_entropy(told[:, 3:], views.view.clamp(min=0), reduction="none")
    return loss + VIEW_WEIGHT * _mean(view, good)


def _mean(values: Tensor, where: Tensor) -> Tensor:
    return (values * where).sum() / where.sum().clamp(min=1)


def _entropy(logit: Tensor, truth: Tensor) -> Tensor:
    return binary_cross_entropy_with_logits(logit, truth, reduction="none")


def _is_nose(parts: Tensor) -> Tensor:
    return (parts == 1) | (parts == 2)


def _counted(truth: Tensor) -> Tensor:
    return (truth != DEEP) & (truth != UNKNOWN)


def nose_overlap(logits: Tensor, truth: Tensor) -> Tensor:
    """Intersection over union of nose (glare is nose too), (n,); the deep nose does not count. 0
    where no nose shows: there is nothing to be read."""
    nose, taken = _is_nose(truth), _is_nose(logits.argmax(1)) & _counted(truth)
    both = (nose & taken).sum((1, 2)).float()
    return both / (nose | taken).sum((1, 2)).clamp(min=1)


def found_counts(maps: Tensor, views: CoarseViews, least: float) -> Tensor:
    """Counts, int64 (6,), as `FOUND` names them: firing ends hit by a peak of at least `least`, and
    those there; views whose strongest cell hits one, and views with any; views in which a peak
    stands though they show no part of a plug, and those views.

    A hit lies within half a firing end's extent of its middle and has its size right.
    """
    sure, size = maps[:, 0].float().sigmoid(), maps[:, 1].float()
    n, rows, columns = sure.shape
    around = max_pool2d(sure[:, None], 3, 1, 1)[:, 0]
    peaks = (sure == around) & (sure >= least)
    first = sure.flatten(1) == sure.flatten(1).amax(1, keepdim=True)
    view, row, column = (views.heat > TOP).nonzero(as_tuple=True)
    wide = views.size[view, row, column][:, None, None]
    y = torch.arange(rows, device=sure.device)[None, :, None] - row[:, None, None]
    x = torch.arange(columns, device=sure.device)[None, None, :] - column[:, None, None]
    reach = (0.5 * COARSE_PX / STRIDE * wide.exp()).clamp(min=1.5)
    right = (x**2 + y**2 <= reach**2) & ((size[view] - wide).abs() < math.log(SIZE_RIGHT))
    hits = (peaks[view] & right).flatten(1).any(1)
    led = (first.view_as(sure)[view] & right).flatten(1).any(1)
    per_view = torch.zeros(n, dtype=torch.int64, device=sure.device)
    with_any = per_view.index_add(0, view, torch.ones_like(view)) > 0
    first_hit = per_view.index_add(0, view, led.long()) > 0
    bare = views.plug == 0
    false = bare & peaks.flatten(1).any(1)
    counts = (hits, torch.ones_like(hits), first_hit, with_any, false, bare)
    return torch.stack([count.sum() for count in counts])
