"""From torch to the files that tipvision reads."""

import warnings
from pathlib import Path

import torch
from torch import nn

from tipvision.tip.net import COARSE_PX, FINE_PX

OPSET = 17
"""OpenCV 5.0 reads it, and so does every onnxruntime of the last years."""

ANSWERS = {"coarse": ("maps", "plug"), "fine": ("parts", "told")}
SIDES = {"coarse": COARSE_PX, "fine": FINE_PX}


def export(name: str, net: nn.Module, folder: Path) -> Path:
    """Write `coarse.onnx` (picture → maps, plug) or `fine.onnx` (picture → parts, told)."""
    folder.mkdir(parents=True, exist_ok=True)
    path, side = folder / f"{name}.onnx", SIDES[name]
    net = net.eval().to("cpu", torch.float32)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the older exporter is the one that needs no more packages
        torch.onnx.export(
            net,
            (torch.zeros(1, 3, side, side),),
            str(path),
            input_names=["picture"],
            output_names=list(ANSWERS[name]),
            opset_version=OPSET,
            dynamo=False,
        )
    return path
