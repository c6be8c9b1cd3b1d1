"""The coat net in torch: what it sees of a nose, and what it tells."""

import copy
from collections.abc import Mapping

import torch
from torch import Tensor, nn

from pipelines.tip_net.net import Separable, conv
from tipvision.condition.condition import FINDINGS, LABELS
from tipvision.measure.coat_view import CHANNELS

TOLD: Mapping[str, int] = {"shares": len(LABELS), "findings": len(FINDINGS), "wet": 1}
"""What is told, in this order, and how many numbers each takes: logits of the shares of `LABELS`,
of each finding and of the share of the nose that is wet."""

TAUGHT: Mapping[str, int] = {**TOLD, "lab": 3, "lab_spread": 3}
"""What is taught: CIELAB over `LAB_UNIT` and the logarithm of its spread in that unit beside it.
They help it to learn; they are not told, as what it expects of a nose's colour is more of the
studio's palettes than of the photo."""

LAB_UNIT = 20.0
STEM, STAGES = 24, ((64, 3), (128, 4), (192, 5))
"""Channels and blocks of the fine tip net's encoder, so that it can begin with those weights."""

HIDDEN = 128


class Coat(nn.Module):
    """View (n, CHANNELS, 128, 128) to (n, sum of TAUGHT).

    The last map is averaged twice: over all of it, and over the nose alone.
    """

    def __init__(self, dropped: float = 0.5) -> None:
        super().__init__()
        self.stem = conv(CHANNELS, STEM, 3, 2)
        stages, inside = [], STEM
        for width, blocks in STAGES:
            more = [Separable(width, width) for _ in range(blocks - 1)]
            stages.append(nn.Sequential(Separable(inside, width, 2), *more))
            inside = width
        self.stages = nn.Sequential(*stages)
        self.pool = nn.AvgPool2d(2 ** (1 + len(STAGES)))
        self.head = nn.Sequential(
            nn.Dropout(dropped),
            nn.Linear(2 * inside, HIDDEN),
            nn.ReLU(),
            nn.Dropout(dropped),
            nn.Linear(HIDDEN, sum(TAUGHT.values())),
        )

    def forward(self, view: Tensor) -> Tensor:
        deep = self.stages(torch.relu(self.stem(view)))
        nose = self.pool(view[:, 3:4]) + 1e-3
        of_nose = (deep * nose).mean((2, 3)) / nose.mean((2, 3))
        told: Tensor = self.head(torch.cat([deep.mean((2, 3)), of_nose], 1))
        return told

    def shipped(self) -> nn.Module:
        """The net that tells `TOLD` alone, in evaluation mode; it shares nothing with this one."""
        net = copy.deepcopy(self).eval()
        last, count = net.head[-1], sum(TOLD.values())
        last.weight.data, last.bias.data = last.weight[:count].data, last.bias[:count].data
        return net


def parted(taught: Tensor) -> dict[str, Tensor]:
    """What the net answers by name, each (n, its count)."""
    return dict(zip(TAUGHT, taught.split(list(TAUGHT.values()), 1), strict=True))
