"""ONNX nets as they lie in a model folder: checked before OpenCV reads them, and as they answer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.sealed import ModelFault, sealed


@dataclass(frozen=True)
class Nets:
    """The nets of one folder, in the order asked for. name, version: as its manifest says."""

    name: str
    version: str
    nets: tuple[cv2.dnn.Net, ...]


def load_nets(folder: Path, files: Sequence[str], unfit: str) -> Nets:
    """The nets in these files of a model folder.

    unfit: what is said of a file that is no net.
    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or it is no
    net at all.
    """
    manifest, contents = sealed(folder, files)
    try:
        nets = tuple(
            cv2.dnn.readNetFromONNX(np.frombuffer(contents[file], np.uint8)) for file in files
        )
        return Nets(str(manifest["name"]), str(manifest["version"]), nets)
    except (cv2.error, KeyError) as error:
        raise ModelFault(f"{unfit} It lies in {folder}.") from error


def answers(
    net: cv2.dnn.Net,
    view: NDArray[np.float32],
    shapes: Mapping[str, tuple[int, ...]],
    unfit: str,
) -> Mapping[str, NDArray[np.float32]]:
    """What a net answers to a view, float32 (1, channels, height, width), by name.

    shapes: of the answers wanted. unfit: what is said of a net that does not answer so.
    Raises ModelFault when one has not its shape or is not finite.
    """
    try:
        net.setInput(view)
        told = (np.asarray(answer, np.float32) for answer in net.forward(tuple(shapes)))
    except cv2.error as error:
        raise ModelFault(unfit) from error
    out = dict(zip(shapes, told, strict=True))
    for name, answer in out.items():
        if answer.shape != shapes[name] or not np.isfinite(answer).all():
            raise ModelFault(unfit)
    return out
