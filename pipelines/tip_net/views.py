"""Training views, cut from a stock of photos on its device: coarse and fine, with their targets."""

import math
from dataclasses import dataclass

import torch
from torch import Tensor
from torch.nn.functional import max_pool2d

from pipelines.tip_net.cameras import photographed
from pipelines.tip_net.cuts import Squares, between, covered, cut, plain, turned, uniform
from pipelines.tip_net.net import STRIDE
from pipelines.tip_net.photos import LEFT_OVER, PLUGS, STRAP, Stock
from tipvision.tip.net import COARSE_PX, FINE_PX
from tipvision.tip.seek import MARGIN

LEAST_SIZE = 7.0
"""Pixels of the coarse view; smaller firing ends count neither way (our estimate)."""

DEEP = 3

MOST_SHRUNK = 2.0, 3.5
"""How small a coarse and a fine view is made at most before it is enlarged again: a firing end
fills a small part of the one and all of the other."""

SHARES = ((60.0, 0.45), (24.0, 0.42), (12.0, 0.11), (0.0, 0.02))
"""Widths of the nose in pixels, from, and shares of the firing ends drawn. Few photos come as close
as those that are read; the smallest are refused, and their masks are coarse (our estimate)."""

CLOSE = 0.6
"""Share of the coarse views that are laid round a firing end."""

EXTENTS = 0.05, 0.75
"""Of the firing end in such a view, over its side; drawn evenly in the logarithm."""

BARE = 0.22
"""Share of the fine views that are laid round no firing end (our estimate)."""

FOOLED = 0.15, 0.15
"""Shares of coarse and of fine views in which the net saw a firing end and there was none."""

UNKNOWN = -1
"""Part of pixels that are not judged."""


@dataclass(frozen=True)
class CoarseViews:
    """pictures (n, 3, 192, 192) RGB −1 to 1. heat (n, 48, 48): 1 in the cell of a firing end's
    middle, falling off round it. counts (n, 48, 48): false where heat must not be judged. size
    (n, 48, 48): logarithm of extent over the side, nan but near a middle. plug (n,): 1 where any
    firing end shows, nan where only other parts of a plug or too little of one."""

    pictures: Tensor
    heat: Tensor
    counts: Tensor
    size: Tensor
    plug: Tensor


@dataclass(frozen=True)
class FineViews:
    """pictures (n, 3, 192, 192) RGB −1 to 1. parts int64 (n, 192, 192): class of each pixel of the
    plug in the middle, or `UNKNOWN`. here (n,): 1 for a firing end in the middle, 0 for none, nan
    for neither. width (n,): log of nose width over crop side, nan where none. view int64 (n,), −1:
    none."""

    pictures: Tensor
    parts: Tensor
    here: Tensor
    width: Tensor
    view: Tensor


def coarse_views(stock: Stock, n: int, fooled: Squares | None = None) -> CoarseViews:
    """`n` random views: some of whole photos, most of firing ends of every size, anywhere in it,
    and some of the squares by which the net was `fooled`."""
    photo = uniform(len(stock.pixels), n, stock)
    size = stock.sizes[photo]
    middle, side = size / 2, size.max(1).values
    whole = torch.rand_like(side) < 0.4
    zoom = torch.exp(between(side, math.log(0.55), math.log(1.9)))
    drift = (torch.rand_like(middle) - 0.5) * 0.5 * (side * zoom)[:, None]
    squares = Squares(
        photo,
        torch.where(whole[:, None], middle, middle + drift),
        torch.where(whole, side, side * zoom),
    )
    squares = _round_ends(stock, n).where(torch.rand_like(side) < CLOSE, squares)
    if fooled is not None:
        squares = _again(fooled, n).where(torch.rand_like(side) < FOOLED[0], squares)
    pictures, labels = cut(stock, squares, *turned(n, side), COARSE_PX, True)
    pictures, labels = covered(stock, pictures, labels)
    pictures = photographed(pictures, MOST_SHRUNK[0])
    return CoarseViews(pictures * 2 - 1, *_coarse_targets(labels))


def _round_ends(stock: Stock, n: int) -> Squares:
    """Squares that show firing ends at every size and place."""
    end = _drawn_ends(stock, n)
    photo = stock.photo[end]
    x, y, extent, _ = stock.place[end].unbind(1)
    longer = stock.sizes[photo].max(1).values
    side = extent / torch.exp(between(extent, *map(math.log, EXTENTS)))
    side = torch.minimum(side, 1.9 * longer).clamp(min=COARSE_PX / 4)
    off = (torch.rand((n, 2), device=side.device) - 0.5) * 0.85 * side[:, None]
    return Squares(photo, torch.stack([x, y], 1) + off, side)


def coarse_views_of(stock: Stock, photo: Tensor) -> CoarseViews:
    """Views of these photos as tipvision makes them."""
    size = stock.sizes[photo]
    squares = Squares(photo, size / 2, size.max(1).values)
    pictures, labels = plain(stock, squares, COARSE_PX)
    return CoarseViews(pictures * 2 - 1, *_coarse_targets(labels))


def fine_views(stock: Stock, n: int, fooled: Squares | None = None) -> FineViews:
    """`n` random firing ends, a share `BARE` of them crops of anything else, half of those the
    squares by which the net was `fooled`."""
    end = _drawn_ends(stock, n)
    plug, view = stock.plug[end], stock.view[end]
    x, y, size, nose = stock.place[end].unbind(1)
    middle = torch.stack([x, y], 1)
    side = MARGIN * size * torch.exp(between(size, math.log(0.75), math.log(1.45)))
    middle = middle + (torch.rand_like(middle) - 0.5) * 0.3 * side[:, None]
    squares = Squares(stock.photo[end], middle, side)
    chance = torch.rand_like(side)
    none = chance < BARE
    squares = bare_squares(stock, n).where(none, squares)
    if fooled is not None:
        squares = _again(fooled, n).where(chance < FOOLED[1], squares)
    pictures, labels = cut(stock, squares, *turned(n, side), FINE_PX, True)
    pictures, labels = covered(stock, pictures, labels)
    pictures = photographed(pictures, MOST_SHRUNK[1])
    return _fine_targets(pictures, labels, plug, none, nose / squares.side, view)


def bare_squares(stock: Stock, n: int) -> Squares:
    """Squares of every size, most of them of photos without a plug; the others may show one."""
    photo = uniform(len(stock.pixels), n, stock)
    if len(stock.without):
        empty = stock.without[uniform(len(stock.without), n, stock)]
        photo = torch.where(torch.rand((n,), device=photo.device) < 0.7, empty, photo)
    extent = stock.sizes[photo]
    shorter = extent.min(1).values
    side = shorter * torch.exp(between(shorter, math.log(0.05), math.log(1.1)))
    return Squares(photo, torch.rand_like(extent) * extent, side)


def shows_a_firing_end(labels: Tensor) -> Tensor:
    """Whether any pixel (n, h, w) of a view belongs to a firing end, bool (n,)."""
    part = labels & 7
    return ((part >= 1) & (part <= STRAP)).flatten(1).any(1)


def _again(fooled: Squares, n: int) -> Squares:
    """`n` of the squares, each a little aside and of a little other size."""
    chosen = fooled.of(torch.randint(0, len(fooled), (n,), device=fooled.side.device))
    side = chosen.side * torch.exp(between(chosen.side, -0.25, 0.25))
    off = (torch.rand_like(chosen.middle) - 0.5) * 0.25 * side[:, None]
    return Squares(chosen.photo, chosen.middle + off, side)


def fine_views_of(stock: Stock, end: Tensor, shift: float = 0.06) -> FineViews:
    """Views of these firing ends as tipvision cuts them, off by what the coarse net may err."""
    x, y, size, nose = stock.place[end].unbind(1)
    way = end.float() * 2.399963  # the golden angle: every direction, the same each time
    side = MARGIN * size * (1 + 1.5 * shift * torch.sin(3 * way))
    middle = torch.stack([x + shift * size * way.cos(), y + shift * size * way.sin()], 1)
    squares = Squares(stock.photo[end], middle, side)
    none = torch.zeros_like(side, dtype=torch.bool)
    seen = plain(stock, squares, FINE_PX)
    return _fine_targets(*seen, stock.plug[end], none, nose / side, stock.view[end])


def _drawn_ends(stock: Stock, n: int) -> Tensor:
    """Random firing ends, those of each class of size as often as `SHARES` says."""
    nose, often, top = stock.place[:, 3], torch.zeros_like(stock.place[:, 3]), math.inf
    for low, share in SHARES:
        its = (nose >= low) & (nose < top)
        often = often + its * share / its.sum().clamp(min=1)
        top = low
    return torch.multinomial(often, n, replacement=True)


def _coarse_targets(labels: Tensor) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    n, side = len(labels), labels.shape[-1]
    cells = side // STRIDE
    at = torch.arange(side, device=labels.device)
    cell = (torch.arange(cells, device=labels.device) + 0.5) * STRIDE
    heat = torch.zeros((n, cells, cells), device=labels.device)
    counts = torch.ones_like(heat, dtype=torch.bool)
    size = torch.full_like(heat, torch.nan)
    plug = torch.zeros(n, device=labels.device)
    part = labels & 7
    end = (part >= 1) & (part <= 5)
    # a plug that is not listed is no firing end to be found, and no background either
    left = (labels >> 3 == LEFT_OVER).float()[:, None]
    left = max_pool2d(max_pool2d(left, STRIDE), 5, 1, 2)[:, 0]
    counts &= left == 0
    plug = torch.where((labels > 0).flatten(1).any(1), torch.nan, plug)
    for number in range(PLUGS):
        own = end & (labels >> 3 == number)
        columns, rows, pixels = own.any(1), own.any(2), own.sum((1, 2))
        x0, x1 = _span(columns, at)
        y0, y1 = _span(rows, at)
        x, y, wide = (x0 + x1) / 2, (y0 + y1) / 2, torch.maximum(x1 - x0, y1 - y0)
        good = (pixels >= 12) & (wide >= LEAST_SIZE)
        little = (pixels > 0) & ~good
        spread = (0.1 * wide).clamp(0.7 * STRIDE, 4.0 * STRIDE)[:, None, None]
        # the middle counts from its cell's, so that one cell is exactly 1
        cx, cy = ((torch.floor(v / STRIDE) + 0.5) * STRIDE for v in (x, y))
        dx, dy = cell[None, None, :] - cx[:, None, None], cell[None, :, None] - cy[:, None, None]
        far = (dx**2 + dy**2) / (2 * spread**2)
        hill = torch.exp(-far) * good[:, None, None]
        size = torch.where(hill > 0.6, torch.log(wide / side)[:, None, None], size)
        heat = torch.maximum(heat, hill)
        counts &= ~(little[:, None, None] & (dx**2 + dy**2 < (4 * STRIDE) ** 2))
        plug = torch.where(good, 1.0, plug)
    return heat, counts, size, plug


def _span(any_there: Tensor, at: Tensor) -> tuple[Tensor, Tensor]:
    """First place and the place behind the last of what is there, (n,) each; 0, 0 for nothing."""
    first = torch.where(any_there, at, at[-1] + 1).amin(1)
    last = torch.where(any_there, at + 1, 0).amax(1)
    return torch.minimum(first, last).float(), last.float()


def _fine_targets(
    pictures: Tensor, labels: Tensor, plug: Tensor, none: Tensor, width: Tensor, view: Tensor
) -> FineViews:
    part, number = labels & 7, labels >> 3
    own = part * (number == plug[:, None, None]) * ~none[:, None, None]
    own = torch.where(number == LEFT_OVER, UNKNOWN, own)
    firing = ((part >= 1) & (part <= 5)).sum((1, 2))
    shown = ((own >= 1) & (own <= 5)).sum((1, 2))
    here = torch.where(shown > 30, 1.0, torch.where(firing == 0, 0.0, torch.nan))
    good = here == 1
    return FineViews(
        pictures * 2 - 1,
        own,
        here,
        torch.where(good & (width > 0), torch.log(width.clamp(min=1e-6)), torch.nan),
        torch.where(good, view, -1),
    )
