"""Squares in which a net sees a firing end and there is none: what it learns most from.

They are looked for again and again while it learns, with the net as it stands. Published as hard
negative mining (Felzenszwalb et al. 2010, from memory, unchecked); the arrangement is our own.
"""

from collections.abc import Callable

import torch
from torch import Tensor, nn

from pipelines.tip_net.cuts import Squares, joined, plain
from pipelines.tip_net.photos import Stock
from pipelines.tip_net.views import bare_squares, shows_a_firing_end

TRIED, KEPT, AT_ONCE = 1536, 768, 256
"""Squares tried each time, those kept of them and of the ones kept before, and views at once (our
estimate)."""

NEVER = -1e4


@torch.no_grad()
def fooled_by(
    net: nn.Module,
    sure: Callable[[tuple[Tensor, Tensor]], Tensor],
    stock: Stock,
    out: int,
    before: Squares | None,
) -> Squares:
    """The squares without a firing end of which the net is most sure that they show one.

    sure: how sure a net's answer is, (n,), logit. out: side of the net's views, pixels. before:
    what was found the last time, judged once more.
    """
    tried = bare_squares(stock, TRIED)
    tried = tried if before is None else joined(before, tried)
    found = []
    for part in torch.arange(len(tried), device=tried.side.device).split(AT_ONCE):
        pictures, labels = plain(stock, tried.of(part), out)
        logit = sure(net(pictures * 2 - 1)).float()
        found.append(torch.where(shows_a_firing_end(labels), NEVER, logit))
    best = torch.cat(found).topk(min(KEPT, len(tried))).indices
    return tried.of(best)
