"""The coat net begins with what another net has learnt to see of firing ends."""

from collections.abc import Iterator
from pathlib import Path

import torch
from torch import Tensor, nn

from pipelines.coat.net import Coat
from pipelines.tip_net.onward import learnt_in, settled

CUBE_ROOTS = 2.52
"""How much steeper the fine net's scale is (sRGB, -1 to 1) than the coat net's (cube roots of light
over twice white's, 0 to 1): 2 for the range, 1.26 for the white. Between, both are near each other.
"""

OTHERS = 0.2
"""By how much the random weights of parts and doubt are lowered beside those of the picture."""


def begin_with(net: Coat, file: Path, view: Tensor) -> None:
    """Give `net` the encoder weights of the fine tip net, or of a coat net, in `file` (an ONNX).

    view: some views, (n, CHANNELS, 128, 128) on the net's device; the normalisations are set so
    that on them every layer answers as it did in that net.
    Raises ValueError when the file holds another encoder.
    """
    pairs = list(_convolutions(net))
    hooks = []
    with torch.no_grad():
        for pair, (weight, bias) in zip(pairs, learnt_in(file)[: len(pairs)], strict=True):
            own = pair[0].weight
            shift = torch.from_numpy(bias).to(own)
            learnt = torch.from_numpy(weight).to(own)
            if own.shape == learnt.shape:
                own.copy_(learnt)
            elif own.shape[0] == learnt.shape[0] and own.shape[1] > learnt.shape[1] == 3:
                own[:, 3:] *= OTHERS
                own[:, :3] = CUBE_ROOTS * learnt
                shift = shift - learnt.sum((1, 2, 3))
            else:
                raise ValueError(f"{file} holds another encoder than the coat net has.")
            hooks.append(pair[1].register_forward_pre_hook(settled(shift)))
        was = net.training
        net.train()(view)
        net.train(was)
    for hook in hooks:
        hook.remove()


def _convolutions(net: Coat) -> Iterator[nn.Sequential]:
    """Convolutions with their normalisations, in the order in which they run."""
    yield net.stem
    for stage in net.stages:
        for block in stage:
            yield block.depth
            yield block.point
