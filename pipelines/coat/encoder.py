"""The coat net begins with what the fine tip net has learnt to see of firing ends."""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn

from pipelines.coat.net import Coat

CUBE_ROOTS = 2.52
"""How much steeper the fine net's scale is (sRGB, -1 to 1) than the coat net's (cube roots of light
over twice white's, 0 to 1): 2 for the range, 1.26 for the white. Between, both are near each other.
"""

OTHERS = 0.2
"""By how much the random weights of parts and doubt are lowered beside those of the picture."""


def begin_with(net: Coat, fine: Path, view: Tensor) -> None:
    """Give `net` the encoder weights of the fine tip net in the file `fine` (an ONNX).

    view: some views, (n, CHANNELS, 128, 128) on the net's device; the normalisations are set so
    that on them every layer answers as it did in the fine net.
    Raises ValueError when the file holds another encoder.
    """
    pairs = list(_convolutions(net))
    hooks = []
    with torch.no_grad():
        for pair, (weight, bias) in zip(pairs, _of_file(fine, len(pairs)), strict=True):
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
                raise ValueError(f"{fine} holds another encoder than the coat net has.")
            hooks.append(pair[1].register_forward_pre_hook(_settled(shift)))
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


def _of_file(fine: Path, count: int) -> Iterator[tuple[NDArray[np.float32], NDArray[np.float32]]]:
    """Weights and biases of the first convolutions."""
    import onnx
    from onnx import numpy_helper

    graph = onnx.load(str(fine)).graph
    held = {tensor.name: numpy_helper.to_array(tensor) for tensor in graph.initializer}
    for node in [node for node in graph.node if node.op_type == "Conv"][:count]:
        yield held[node.input[1]].copy(), held[node.input[2]].copy()


def _settled(shift: Tensor) -> Callable[[nn.BatchNorm2d, tuple[Tensor]], None]:
    """Sets a normalisation so that it adds `shift` to what it is given and changes nothing else."""

    def hook(norm: nn.BatchNorm2d, given: tuple[Tensor]) -> None:
        with torch.no_grad():
            norm.weight.copy_(given[0].std((0, 2, 3)) + 1e-4)
            norm.bias.copy_(shift + given[0].mean((0, 2, 3)))

    return hook
