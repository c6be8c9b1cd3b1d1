"""Training views, cut from a stock of photos on its device: coarse and fine, with their targets."""

import math
from dataclasses import dataclass

import torch
from torch import Tensor
from torch.nn.functional import avg_pool2d, grid_sample, max_pool2d

from pipelines.tip_net.cameras import photographed
from pipelines.tip_net.net import STRIDE
from pipelines.tip_net.photos import LEFT_OVER, PLUGS, Stock
from tipvision.tip.net import COARSE_PX, FINE_PX
from tipvision.tip.seek import MARGIN

LEAST_SIZE = 7.0
"""Pixels of the coarse view; smaller firing ends count neither way (our estimate)."""

DEEP = 3

MOST_SHRUNK = 2.0, 6.0
"""How small a coarse and a fine view is made at most before it is enlarged again: a firing end
fills a small part of the one and all of the other."""

SHARES = ((60.0, 0.3), (24.0, 0.45), (12.0, 0.2), (0.0, 0.05))
"""Widths of the nose in pixels, from, and shares of the firing ends drawn. Few photos come as close
as those that are read; the smallest are refused, and their masks are coarse (our estimate)."""

CLOSE = 0.6
"""Share of the coarse views that are laid round a firing end."""

EXTENTS = 0.05, 0.75
"""Of the firing end in such a view, over its side; drawn evenly in the logarithm."""

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


def coarse_views(stock: Stock, n: int) -> CoarseViews:
    """`n` random views: some of whole photos, most of firing ends of every size, anywhere in it."""
    photo = _uniform(len(stock.pixels), n, stock)
    size = stock.sizes[photo]
    middle, side = size / 2, size.max(1).values
    plain = torch.rand_like(side) < 0.4
    zoom = torch.exp(_between(side, math.log(0.55), math.log(1.9)))
    drift = (torch.rand_like(middle) - 0.5) * 0.5 * (side * zoom)[:, None]
    end = _drawn_ends(stock, n)
    close = torch.rand_like(side) < CLOSE
    photo = torch.where(close, stock.photo[end], photo)
    x, y, extent, _ = stock.place[end].unbind(1)
    longer = stock.sizes[photo].max(1).values
    wanted = extent / torch.exp(_between(side, *map(math.log, EXTENTS)))
    wanted = torch.minimum(wanted, 1.9 * longer).clamp(min=COARSE_PX / 4)
    off = (torch.rand_like(middle) - 0.5) * 0.85 * wanted[:, None]
    side = torch.where(close, wanted, torch.where(plain, side, side * zoom))
    middle = torch.where(plain[:, None], middle, middle + drift)
    middle = torch.where(close[:, None], torch.stack([x, y], 1) + off, middle)
    turn, mirror = _turned(n, side)
    pictures, labels = _cut(stock, photo, middle, side, turn, mirror, COARSE_PX, True)
    pictures, labels = _covered(stock, pictures, labels)
    pictures = photographed(pictures, MOST_SHRUNK[0])
    return CoarseViews(pictures * 2 - 1, *_coarse_targets(labels))


def coarse_views_of(stock: Stock, photo: Tensor) -> CoarseViews:
    """Views of these photos as tipvision makes them."""
    size = stock.sizes[photo]
    side = size.max(1).values
    flat = torch.zeros_like(side)
    pictures, labels = _cut(stock, photo, size / 2, side, flat, flat + 1, COARSE_PX, False)
    return CoarseViews(pictures * 2 - 1, *_coarse_targets(labels))


def fine_views(stock: Stock, n: int, bare: float = 0.15) -> FineViews:
    """`n` random firing ends, a share `bare` of them crops of anything else."""
    end = _drawn_ends(stock, n)
    photo, plug, view = stock.photo[end], stock.plug[end], stock.view[end]
    x, y, size, nose = stock.place[end].unbind(1)
    middle = torch.stack([x, y], 1)
    side = MARGIN * size * torch.exp(_between(size, math.log(0.75), math.log(1.45)))
    middle = middle + (torch.rand_like(middle) - 0.5) * 0.3 * side[:, None]
    none = torch.rand_like(side) < bare
    anywhere = _uniform(len(stock.pixels), n, stock)
    if len(stock.without):
        empty = stock.without[_uniform(len(stock.without), n, stock)]
        anywhere = torch.where(torch.rand_like(side) < 0.7, empty, anywhere)
    photo = torch.where(none, anywhere, photo)
    extent = stock.sizes[photo]
    middle = torch.where(none[:, None], torch.rand_like(middle) * extent, middle)
    other = extent.min(1).values * torch.exp(_between(side, math.log(0.05), math.log(0.9)))
    side = torch.where(none, other, side)
    turn, mirror = _turned(n, side)
    pictures, labels = _cut(stock, photo, middle, side, turn, mirror, FINE_PX, True)
    pictures, labels = _covered(stock, pictures, labels)
    return _fine_targets(
        photographed(pictures, MOST_SHRUNK[1]), labels, plug, none, nose / side, view
    )


def fine_views_of(stock: Stock, end: Tensor, shift: float = 0.06) -> FineViews:
    """Views of these firing ends as tipvision cuts them, off by what the coarse net may err."""
    x, y, size, nose = stock.place[end].unbind(1)
    way = end.float() * 2.399963  # the golden angle: every direction, the same each time
    side = MARGIN * size * (1 + 1.5 * shift * torch.sin(3 * way))
    middle = torch.stack([x + shift * size * way.cos(), y + shift * size * way.sin()], 1)
    flat = torch.zeros_like(side)
    photo = stock.photo[end]
    cut = _cut(stock, photo, middle, side, flat, flat + 1, FINE_PX, False)
    return _fine_targets(*cut, stock.plug[end], flat > 0, nose / side, stock.view[end])


def _drawn_ends(stock: Stock, n: int) -> Tensor:
    """Random firing ends, those of each class of size as often as `SHARES` says."""
    nose, often, top = stock.place[:, 3], torch.zeros_like(stock.place[:, 3]), math.inf
    for low, share in SHARES:
        its = (nose >= low) & (nose < top)
        often = often + its * share / its.sum().clamp(min=1)
        top = low
    return torch.multinomial(often, n, replacement=True)


def _uniform(below: int, n: int, stock: Stock) -> Tensor:
    return torch.randint(0, below, (n,), device=stock.pixels.device)


def _between(like: Tensor, low: float, high: float) -> Tensor:
    return torch.rand_like(like) * (high - low) + low


def _turned(n: int, like: Tensor) -> tuple[Tensor, Tensor]:
    """Angles, half of them quarter turns and a few degrees about them, and mirrors (±1)."""
    quarter = torch.randint(0, 4, (n,), device=like.device) * (math.pi / 2)
    near = quarter + torch.randn_like(like) * 0.12
    turn = torch.where(torch.rand_like(like) < 0.5, near, _between(like, 0.0, 2 * math.pi))
    return turn, torch.where(torch.rand_like(like) < 0.5, 1.0, -1.0)


def _cut(
    stock: Stock,
    photo: Tensor,
    middle: Tensor,
    side: Tensor,
    turn: Tensor,
    mirror: Tensor,
    out: int,
    fill: bool,
) -> tuple[Tensor, Tensor]:
    """Square views (n, 3, out, out), 0 to 1, and labels (n, out, out) of them.

    What lies outside the photo is mid grey; with `fill` now and then another colour or another
    photo.
    """
    twice = _places(middle, side, turn, mirror, 2 * out)
    whole = stock.pixels.shape[-1]
    source = stock.pixels[photo].float() / 255
    grid = twice / whole * 2 - 1
    cut = grid_sample(source, grid, padding_mode="border", align_corners=False)
    size = stock.sizes[photo][:, None, None]
    inside = ((twice > 0) & (twice < size)).all(-1)[:, None].float()
    ground = torch.full_like(cut[:, :, :1, :1], 0.5).expand_as(cut)
    if fill:
        ground = _ground(stock, cut)
    cut = avg_pool2d(cut * inside + ground * (1 - inside), 2)
    once = _places(middle, side, turn, mirror, out)
    names = stock.labels[photo][:, None].float()
    grid = once / whole * 2 - 1
    labels = grid_sample(names, grid, mode="nearest", align_corners=False)[:, 0]
    seen = ((once > 0) & (once < size)).all(-1)
    return cut, (labels.round() * seen).to(torch.int64)


def _places(middle: Tensor, side: Tensor, turn: Tensor, mirror: Tensor, out: int) -> Tensor:
    """Where in the photo each pixel of the view lies: (n, out, out, 2), pixels."""
    at = (torch.arange(out, device=side.device) + 0.5) / out - 0.5
    v, u = torch.meshgrid(at, at, indexing="ij")
    u, v = u[None] * mirror[:, None, None], v[None].expand(len(side), -1, -1)
    c, s = turn.cos()[:, None, None], turn.sin()[:, None, None]
    around = torch.stack([u * c - v * s, u * s + v * c], -1)
    return middle[:, None, None, :] + around * side[:, None, None, None]


def _ground(stock: Stock, like: Tensor) -> Tensor:
    """What stands in for what the photo does not show."""
    n = len(like)
    kind = torch.rand((n, 1, 1, 1), device=like.device)
    colour = torch.rand((n, 3, 1, 1), device=like.device)
    flat = torch.where(kind < 0.6, torch.full_like(colour, 0.5), colour).expand_as(like)
    if not len(stock.without):
        return flat
    other = _another(stock, n, like.shape[-1])
    return torch.where(kind < 0.8, flat, other)


def _another(stock: Stock, n: int, out: int) -> Tensor:
    """Parts of photos without a plug, (n, 3, out, out)."""
    photo = stock.without[_uniform(len(stock.without), n, stock)]
    size = stock.sizes[photo]
    side = size.min(1).values * _between(size[:, 0], 0.4, 1.0)
    turn, mirror = _turned(n, side)
    grid = _places(size / 2, side, turn, mirror, out) / stock.pixels.shape[-1] * 2 - 1
    source = stock.pixels[photo].float() / 255
    return grid_sample(source, grid, padding_mode="border", align_corners=False)


def _covered(stock: Stock, pictures: Tensor, labels: Tensor) -> tuple[Tensor, Tensor]:
    """Some views with a patch laid over a part of them, as a finger or a rag would."""
    n, _, side, _ = pictures.shape
    paint = torch.rand((n, 3, 1, 1), device=pictures.device).expand_as(pictures)
    if len(stock.without):
        textured = torch.rand((n, 1, 1, 1), device=pictures.device) < 0.5
        paint = torch.where(textured, _another(stock, n, side), paint)
    at = (torch.arange(side, device=pictures.device) + 0.5) / side

    def drawn(low: float, high: float) -> Tensor:
        return torch.rand((n, 1, 1), device=pictures.device) * (high - low) + low

    x, y, turn = at[None, None, :] - drawn(0, 1), at[None, :, None] - drawn(0, 1), drawn(0, math.pi)
    along = (x * turn.cos() + y * turn.sin()) / drawn(0.04, 0.3)
    across = (y * turn.cos() - x * turn.sin()) / drawn(0.03, 0.12)
    round_or_not = torch.where(drawn(0, 1) < 0.5, 2.0, 8.0)
    shape = along.abs() ** round_or_not + across.abs() ** round_or_not < 1
    shape &= drawn(0, 1) < 0.3
    return torch.where(shape[:, None], paint, pictures), torch.where(shape, 0, labels)


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
