"""From torch to the file that tipvision reads."""

import warnings
from pathlib import Path

import torch

from pipelines.coat.net import Coat
from pipelines.tip_net.export import OPSET
from tipvision.measure.coat_view import CHANNELS, COAT_PX


def export(net: Coat, folder: Path) -> Path:
    """Write `coat.onnx` (view → told)."""
    path = folder / "coat.onnx"
    shipped = net.shipped().to("cpu", torch.float32, memory_format=torch.contiguous_format)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the older exporter is the one that needs no more packages
        torch.onnx.export(
            shipped,
            (torch.zeros(1, CHANNELS, COAT_PX, COAT_PX),),
            str(path),
            input_names=["view"],
            output_names=["told"],
            opset_version=OPSET,
            dynamo=False,
        )
    return path
