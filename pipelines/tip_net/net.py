"""The two nets in torch: what they see, and the layers.

Only layers that OpenCV runs fast on one core: convolutions, most of them depthwise separable, and
nearest Resize in the decoders (transposed convolutions are slow there).
"""

from dataclasses import dataclass

import torch
from torch import Tensor, nn

from tipvision.tip.net import CELLS, CLASSES, COARSE_PX, SPLIT, TOLD

STRIDE = COARSE_PX // CELLS
"""Pixels of the coarse view to one cell of its maps."""


@dataclass(frozen=True)
class Widths:
    """Channels of the stem, of the stages at strides 4, 8, 16 and 32, and of the decoder."""

    stem: int
    stages: tuple[int, ...]
    decoder: tuple[int, ...]


COARSE_WIDTHS = Widths(20, (40, 80, 128, 160), (80, 56, 40))
FINE_WIDTHS = Widths(24, (64, 128, 192, 256), (192, 96, 64, 40))


def conv(inside: int, outside: int, kernel: int = 1, stride: int = 1, groups: int = 1) -> nn.Module:
    """Convolution with normalisation, which falls away when the net is exported."""
    padding = kernel // 2
    layer = nn.Conv2d(inside, outside, kernel, stride, padding, groups=groups, bias=False)
    return nn.Sequential(layer, nn.BatchNorm2d(outside))


class Separable(nn.Module):
    """Depthwise 3×3 and pointwise convolution, with a shortcut where the shape stays."""

    def __init__(self, inside: int, outside: int, stride: int = 1) -> None:
        super().__init__()
        self.depth = conv(inside, inside, 3, stride, inside)
        self.point = conv(inside, outside)
        self.short = inside == outside and stride == 1

    def forward(self, x: Tensor) -> Tensor:
        y = self.point(torch.relu(self.depth(x)))
        return torch.relu(y + x) if self.short else torch.relu(y)


class Pyramid(nn.Module):
    """Encoder to stride 2·2ⁿ and a decoder that comes back to the first stage with a shortcut.

    `forward` gives the decoder's finest map, the stem's map (stride 2) and the encoder's coarsest.
    """

    def __init__(self, widths: Widths, depth: tuple[int, ...]) -> None:
        super().__init__()
        self.stem = conv(3, widths.stem, 3, 2)
        stages, inside = [], widths.stem
        for width, blocks in zip(widths.stages, depth, strict=True):
            more = [Separable(width, width) for _ in range(blocks - 1)]
            stages.append(nn.Sequential(Separable(inside, width, 2), *more))
            inside = width
        self.stages = nn.ModuleList(stages)
        self.sides, self.joins = nn.ModuleList(), nn.ModuleList()
        steps = zip(widths.stages[-2::-1], widths.decoder, strict=False)
        for width, wide in steps:
            self.sides.append(conv(width, wide))
            self.joins.append(nn.ModuleList([conv(inside, wide), Separable(wide, wide)]))
            inside = wide

    def forward(self, x: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        stem = torch.relu(self.stem(x))
        maps, y = [], stem
        for stage in self.stages:
            y = stage(y)
            maps.append(y)
        deepest = y
        for side, (narrow, mix), fine in zip(self.sides, self.joins, maps[-2::-1], strict=True):
            y = mix(torch.relu(double(narrow(y)) + side(fine)))
        return y, stem, deepest


def double(x: Tensor) -> Tensor:
    """Twice the size, each value repeated."""
    return nn.functional.interpolate(x, scale_factor=2.0, mode="nearest")


class Coarse(nn.Module):
    """Whole photo (n, 3, 192, 192), RGB −1 to 1, to maps and one logit.

    `maps` (n, 2, 48, 48): logit of a firing end having its middle in the cell, and the logarithm of
    its size over the view's side. `plug` (n, 1): logit of any firing end being in the photo.
    """

    def __init__(self, widths: Widths = COARSE_WIDTHS) -> None:
        super().__init__()
        self.pyramid = Pyramid(widths, (2, 3, 3, 2))
        last = widths.decoder[-1]
        self.head = nn.Sequential(Separable(last, last), nn.Conv2d(last, 2, 1))
        self.plug = nn.Linear(widths.stages[-1], 1)
        # few cells are middles, and a firing end takes about a fifth of the view
        self.head[1].bias.data = torch.tensor([-3.5, -1.6])

    def forward(self, x: Tensor) -> tuple[Tensor, Tensor]:
        fine, _, deepest = self.pyramid(x)
        return self.head(fine), self.plug(deepest.mean((2, 3)))


class Fine(nn.Module):
    """Crop round one firing end (n, 3, 192, 192), RGB −1 to 1, to part logits and what it tells.

    `parts` (n, 32, 96, 96): logits of the classes of each pixel, as `in_pixels` takes them apart.
    `told` (n, TOLD).
    """

    def __init__(self, widths: Widths = FINE_WIDTHS) -> None:
        super().__init__()
        self.pyramid = Pyramid(widths, (3, 4, 5, 4))
        last = widths.decoder[-1]
        before = widths.decoder[-2]
        self.side = conv(widths.stem, last)
        self.narrow = conv(before, last)
        self.head = nn.Sequential(
            Separable(last, last),
            Separable(last, last),
            nn.Conv2d(last, SPLIT**2 * CLASSES, 1),
        )
        deep = widths.stages[-1]
        self.told = nn.Sequential(nn.Linear(deep, 64), nn.ReLU(), nn.Linear(64, TOLD))

    def forward(self, x: Tensor) -> tuple[Tensor, Tensor]:
        fine, stem, deepest = self.pyramid(x)
        y = torch.relu(double(self.narrow(fine)) + self.side(stem))
        return self.head(y), self.told(deepest.mean((2, 3)))


def in_pixels(parts: Tensor) -> Tensor:
    """Logits (n, 8, 192, 192) of the fine net's `parts`: each cell tells of its pixels row by row,
    of each pixel its classes."""
    n, _, rows, columns = parts.shape
    split = parts.view(n, SPLIT, SPLIT, CLASSES, rows, columns).permute(0, 3, 4, 1, 5, 2)
    return split.reshape(n, CLASSES, SPLIT * rows, SPLIT * columns)


def parameters(net: nn.Module) -> int:
    """How many numbers a net has to learn."""
    return sum(p.numel() for p in net.parameters())
