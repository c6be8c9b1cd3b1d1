"""Square pieces cut from a stock of photos on its device, and what covers or surrounds them."""

import math
from dataclasses import dataclass

import torch
from torch import Tensor
from torch.nn.functional import avg_pool2d, grid_sample

from pipelines.tip_net.photos import Stock

OTHER_GROUND = 0.2
"""Share of pieces whose ground, where the photo ends, is another photo (our estimate)."""

COVERED, TEXTURED = 0.3, 0.5
"""Shares: pieces with a patch laid over them, and patches cut from another photo (our estimate)."""


@dataclass(frozen=True)
class Squares:
    """Squares of photos. photo: int64 (n,). middle: float32 (n, 2), pixels. side: float32 (n,)."""

    photo: Tensor
    middle: Tensor
    side: Tensor

    def __len__(self) -> int:
        return len(self.photo)

    def of(self, index: Tensor) -> "Squares":
        """Some of them, (n,) indices or flags."""
        return Squares(self.photo[index], self.middle[index], self.side[index])

    def where(self, these: Tensor, others: "Squares") -> "Squares":
        """Its own where `these` (n,) is true, else those of `others`."""
        return Squares(
            torch.where(these, self.photo, others.photo),
            torch.where(these[:, None], self.middle, others.middle),
            torch.where(these, self.side, others.side),
        )


def joined(one: Squares, other: Squares) -> Squares:
    """All squares of both."""
    return Squares(
        torch.cat([one.photo, other.photo]),
        torch.cat([one.middle, other.middle]),
        torch.cat([one.side, other.side]),
    )


def uniform(below: int, n: int, stock: Stock) -> Tensor:
    """`n` random whole numbers from 0, on the device of the stock."""
    return torch.randint(0, below, (n,), device=stock.pixels.device)


def between(like: Tensor, low: float, high: float) -> Tensor:
    """Random numbers of that shape and device."""
    return torch.rand_like(like) * (high - low) + low


def turned(n: int, like: Tensor) -> tuple[Tensor, Tensor]:
    """Angles, half of them quarter turns and a few degrees about them, and mirrors (±1)."""
    quarter = torch.randint(0, 4, (n,), device=like.device) * (math.pi / 2)
    near = quarter + torch.randn_like(like) * 0.12
    turn = torch.where(torch.rand_like(like) < 0.5, near, between(like, 0.0, 2 * math.pi))
    return turn, torch.where(torch.rand_like(like) < 0.5, 1.0, -1.0)


def cut(
    stock: Stock, squares: Squares, turn: Tensor, mirror: Tensor, out: int, fill: bool
) -> tuple[Tensor, Tensor]:
    """Square views (n, 3, out, out), 0 to 1, and labels int64 (n, out, out) of them.

    What lies outside the photo is mid grey; with `fill` now and then another colour or another
    photo.
    """
    photo = squares.photo
    twice = _places(squares, turn, mirror, 2 * out)
    whole = stock.pixels.shape[-1]
    source = stock.pixels[photo].float() / 255
    grid = twice / whole * 2 - 1
    seen = grid_sample(source, grid, padding_mode="border", align_corners=False)
    size = stock.sizes[photo][:, None, None]
    inside = ((twice > 0) & (twice < size)).all(-1)[:, None].float()
    # the view's edges are averaged with the ground, as a photo's own edge would be
    share = avg_pool2d(inside, 2)
    seen = avg_pool2d(seen.mul_(inside), 2)
    ground = _ground(stock, seen) if fill else torch.full_like(seen[:, :, :1, :1], 0.5)
    seen = seen + ground * (1 - share)
    once = _places(squares, turn, mirror, out)
    names = stock.labels[photo][:, None].float()
    grid = once / whole * 2 - 1
    labels = grid_sample(names, grid, mode="nearest", align_corners=False)[:, 0]
    shown = ((once > 0) & (once < size)).all(-1)
    return seen, (labels.round() * shown).to(torch.int64)


def plain(stock: Stock, squares: Squares, out: int) -> tuple[Tensor, Tensor]:
    """Views and labels as tipvision cuts them: upright, on grey."""
    flat = torch.zeros_like(squares.side)
    return cut(stock, squares, flat, flat + 1, out, False)


def _places(squares: Squares, turn: Tensor, mirror: Tensor, out: int) -> Tensor:
    """Where in the photo each pixel of the view lies: (n, out, out, 2), pixels."""
    at = (torch.arange(out, device=turn.device) + 0.5) / out - 0.5
    v, u = torch.meshgrid(at, at, indexing="ij")
    u, v = u[None] * mirror[:, None, None], v[None].expand(len(squares), -1, -1)
    c, s = turn.cos()[:, None, None], turn.sin()[:, None, None]
    around = torch.stack([u * c - v * s, u * s + v * c], -1)
    return squares.middle[:, None, None, :] + around * squares.side[:, None, None, None]


def _ground(stock: Stock, like: Tensor) -> Tensor:
    """What stands in for what the photo does not show: grey, a colour, or another photo.

    The pieces are in random order, so that the first of them may be the ones with another photo.
    """
    n = len(like)
    kind = torch.rand((n, 1, 1, 1), device=like.device)
    colour = torch.rand((n, 3, 1, 1), device=like.device)
    ground = torch.where(kind < 0.75, torch.full_like(colour, 0.5), colour).repeat(
        1, 1, *like.shape[2:]
    )
    others = round(OTHER_GROUND * n)
    if len(stock.without) and others:
        ground[:others] = _another(stock, others, like.shape[-1])
    return ground


def _another(stock: Stock, n: int, out: int) -> Tensor:
    """Parts of photos without a plug, (n, 3, out, out)."""
    photo = stock.without[uniform(len(stock.without), n, stock)]
    size = stock.sizes[photo]
    side = size.min(1).values * between(size[:, 0], 0.4, 1.0)
    turn, mirror = turned(n, side)
    places = _places(Squares(photo, size / 2, side), turn, mirror, out)
    grid = places / stock.pixels.shape[-1] * 2 - 1
    source = stock.pixels[photo].float() / 255
    return grid_sample(source, grid, padding_mode="border", align_corners=False)


def covered(stock: Stock, pictures: Tensor, labels: Tensor) -> tuple[Tensor, Tensor]:
    """The last of the views with a patch laid over a part of them, as a finger or a rag would."""
    n, _, side, _ = pictures.shape
    device = pictures.device
    few = round(COVERED * n)
    if not few:
        return pictures, labels
    paint = torch.rand((few, 3, 1, 1), device=device).repeat(1, 1, side, side)
    textured = round(TEXTURED * few)
    if len(stock.without) and textured:
        paint[:textured] = _another(stock, textured, side)
    at = (torch.arange(side, device=device) + 0.5) / side

    def drawn(low: float, high: float) -> Tensor:
        return torch.rand((few, 1, 1), device=device) * (high - low) + low

    x, y, turn = at[None, None, :] - drawn(0, 1), at[None, :, None] - drawn(0, 1), drawn(0, math.pi)
    along = (x * turn.cos() + y * turn.sin()) / drawn(0.04, 0.3)
    across = (y * turn.cos() - x * turn.sin()) / drawn(0.03, 0.12)
    round_or_not = torch.where(drawn(0, 1) < 0.5, 2.0, 8.0)
    shape = along.abs() ** round_or_not + across.abs() ** round_or_not < 1
    pictures, labels = pictures.clone(), labels.clone()
    pictures[-few:] = torch.where(shape[:, None], paint, pictures[-few:])
    labels[-few:] = torch.where(shape, 0, labels[-few:])
    return pictures, labels
