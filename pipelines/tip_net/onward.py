"""A net that begins with what another, of the same or nearly the same layers, has learnt."""

from collections.abc import Callable
from difflib import SequenceMatcher
from pathlib import Path

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn

Learnt = tuple[NDArray[np.float32], NDArray[np.float32]]
Layer = nn.Conv2d | nn.Linear


def begin_with(net: nn.Module, file: Path, views: Tensor) -> int:
    """Give `net` the weights in `file` (its like, exported as ONNX); returns to how many layers.

    Layers are matched in the order in which they run, by their shapes: those that only one of both
    nets has are passed over. views: some pictures on the net's device, as the net takes them; the
    normalisations are set so that on them every matched layer answers as it did when exported.
    """
    layers, learnt = _in_order(net, views), learnt_in(file)
    here = [tuple(layer.weight.shape) for layer in layers]
    there = [weight.shape for weight, _ in learnt]
    same = SequenceMatcher(None, there, here, autojunk=False).get_matching_blocks()
    norms = _normalised(net)
    hooks = []
    with torch.no_grad():
        for block in same:
            for k in range(block.size):
                layer, (weight, bias) = layers[block.b + k], learnt[block.a + k]
                layer.weight.copy_(torch.from_numpy(weight))
                shift = torch.from_numpy(bias).to(layer.weight)
                if layer in norms:
                    hooks.append(norms[layer].register_forward_pre_hook(settled(shift)))
                elif layer.bias is not None:
                    layer.bias.copy_(shift)
        was = net.training
        net.train()(views)
        net.train(was)
    for hook in hooks:
        hook.remove()
    return sum(block.size for block in same)


def settled(shift: Tensor) -> Callable[[nn.Module, tuple[Tensor]], None]:
    """Sets a normalisation so that it adds `shift` to what it is given and changes nothing else."""

    def hook(norm: nn.Module, given: tuple[Tensor]) -> None:
        assert isinstance(norm, nn.BatchNorm2d)
        assert norm.running_mean is not None and norm.running_var is not None
        with torch.no_grad():
            mean, var = given[0].mean((0, 2, 3)), given[0].var((0, 2, 3))
            norm.running_mean.copy_(mean)
            norm.running_var.copy_(var)
            norm.weight.copy_((var + norm.eps).sqrt())
            norm.bias.copy_(shift + mean)

    return hook


def _in_order(net: nn.Module, views: Tensor) -> list[Layer]:
    """The layers that hold weights, in the order in which they run."""
    order: list[Layer] = []

    def seen(layer: nn.Module, _: tuple[Tensor]) -> None:
        assert isinstance(layer, nn.Conv2d | nn.Linear)
        order.append(layer)

    layers = [layer for layer in net.modules() if isinstance(layer, nn.Conv2d | nn.Linear)]
    hooks = [layer.register_forward_pre_hook(seen) for layer in layers]
    was = net.training
    with torch.no_grad():
        net.eval()(views[:1])
    net.train(was)
    for hook in hooks:
        hook.remove()
    return order


def _normalised(net: nn.Module) -> dict[nn.Module, nn.Module]:
    """Convolutions that a normalisation follows, with it."""
    pairs = [list(part) for part in net.modules() if isinstance(part, nn.Sequential)]
    return {
        pair[0]: pair[1] for pair in pairs if len(pair) == 2 and isinstance(pair[1], nn.BatchNorm2d)
    }


def learnt_in(file: Path) -> list[Learnt]:
    """Weights and biases in the order in which they are used."""
    import onnx
    from onnx import numpy_helper

    graph = onnx.load(str(file)).graph
    held = {tensor.name: numpy_helper.to_array(tensor) for tensor in graph.initializer}
    return [
        (held[node.input[1]].copy(), held[node.input[2]].copy())
        for node in graph.node
        if node.op_type in ("Conv", "Gemm")
    ]
