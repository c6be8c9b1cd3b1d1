"""The tip net as it lies on disk: two ONNX files, checked before OpenCV reads them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.onnx_net import answers, load_nets
from tipvision.shipped import models_folder

COARSE_PX = 192  # side of the views that the nets see
FINE_PX = 192
CELLS = 48  # of the coarse maps, a side
PARTS_PX = 96  # of the fine part map, a side; each of its cells holds the parts of SPLIT² pixels
SPLIT = FINE_PX // PARTS_PX
CLASSES = 8
"""Nothing, nose, nose in glare, nose deep in the bore, electrode, strap, shell, upper insulator.
The deep nose is a class of its own: it is not measured, so it must not be taken for nose."""
VIEWS = ("end_on", "oblique", "side")
TOLD = 3 + len(VIEWS)
"""Numbers that the fine net tells of a crop: logit of a firing end being in its middle, logit of
the overlap to be expected of its nose, logarithm of nose width over crop side, logits of views."""
_FILES = ("coarse.onnx", "fine.onnx")
_SHAPES = {
    "maps": (1, 2, CELLS, CELLS),
    "plug": (1, 1),
    "parts": (1, SPLIT**2 * CLASSES, PARTS_PX, PARTS_PX),
    "told": (1, TOLD),
}

_UNFIT = "The tip net is not one that this tipvision runs. Install it again."


@dataclass(frozen=True)
class Coarse:
    """What the coarse net sees in a view of 192 by 192 pixels.

    middle: float32 (48, 48), 0 to 1, how sure it is that a firing end has its middle in the cell.
    size:   float32 (48, 48), extent of that firing end over the view's side.
    plug:   0 to 1, how sure it is that any firing end shows.
    """

    middle: NDArray[np.float32]
    size: NDArray[np.float32]
    plug: float


@dataclass(frozen=True)
class Fine:
    """What the fine net sees in a crop of 192 by 192 pixels round one firing end.

    parts:   float32 (192, 192, 8), logits of the parts of each pixel.
    here:    0 to 1, how sure it is that a firing end is in the middle.
    quality: 0 to 1, the overlap (intersection over union) it expects of its nose with the true one.
    width:   width of the nose over the crop's side.
    views:   float32 (3,), how likely end-on, oblique and side are; sums to 1.
    """

    parts: NDArray[np.float32]
    here: float
    quality: float
    width: float
    views: NDArray[np.float32]


@dataclass(frozen=True)
class TipNet:
    """Both nets. One object serves one thread. name, version: as its manifest says.

    Its first look shows whether it is a net of these views and answers: ModelFault where it is not.
    """

    name: str
    version: str
    _coarse: cv2.dnn.Net
    _fine: cv2.dnn.Net

    def coarse(self, view: NDArray[np.uint8]) -> Coarse:
        """Look at a whole photo. view: uint8 (192, 192, 3), RGB, sRGB-encoded."""
        out = _run(self._coarse, view, ("maps", "plug"))
        middle, size = out["maps"][0]
        return Coarse(
            _sigmoid(middle), np.exp(np.minimum(size, 0.7)), float(_sigmoid(out["plug"])[0, 0])
        )

    def fine(self, view: NDArray[np.uint8]) -> Fine:
        """Look at one firing end. view: uint8 (192, 192, 3), RGB, sRGB-encoded."""
        out = _run(self._fine, view, ("parts", "told"))
        told = out["told"][0]
        here, quality = _sigmoid(told[:2])
        views = np.exp(told[3:] - told[3:].max())
        width = float(np.exp(np.minimum(told[2], 0.7)))
        return Fine(
            in_pixels(out["parts"][0]), float(here), float(quality), width, views / views.sum()
        )


@cache
def default_net() -> TipNet:
    """The shipped net."""
    return load_net(models_folder() / "tip")


def load_net(folder: Path) -> TipNet:
    """The net in `folder` (`coarse.onnx`, `fine.onnx`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or it is no
    net at all.
    """
    held = load_nets(folder, _FILES, _UNFIT)
    return TipNet(held.name, held.version, *held.nets)


def _run(
    net: cv2.dnn.Net, view: NDArray[np.uint8], names: tuple[str, ...]
) -> Mapping[str, NDArray[np.float32]]:
    """Answers by name. Raises ModelFault when one has not the shape it should have."""
    blob = cv2.dnn.blobFromImage(view, scalefactor=2 / 255, mean=(127.5,) * 3)  # -1 to 1
    wanted = {name: _SHAPES[name] for name in names}
    return answers(net, np.asarray(blob, np.float32), wanted, _UNFIT)


def in_pixels(cells: NDArray[np.float32]) -> NDArray[np.float32]:
    """float32 (192, 192, 8) of (32, 96, 96): a cell tells of its pixels row by row, of each pixel
    its classes. Done here, as OpenCV is slow at it."""
    flat = np.asarray(cv2.transpose(cells.reshape(len(cells), -1)), np.float32)
    apart = flat.reshape(PARTS_PX, PARTS_PX, SPLIT, SPLIT * CLASSES).swapaxes(1, 2)
    return apart.reshape(FINE_PX, FINE_PX, CLASSES)


def _sigmoid(x: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(1 / (1 + np.exp(-np.clip(x, -30, 30))), np.float32)
