"""Sheets of training views, to be looked at before a long run."""

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import torch

from pipelines.tip_net.photos import load
from pipelines.tip_net.views import coarse_views, fine_views

COUNT, COLUMNS = 40, 10
COLOURS = np.array(
    [
        (0, 0, 0),
        (255, 120, 0),
        (255, 240, 90),
        (120, 60, 160),
        (90, 200, 255),
        (0, 90, 220),
        (130, 130, 130),
        (220, 160, 220),
    ],
    np.float32,
)
"""Of the parts of a mask, in the order of their values; RGB."""


def write_views(folders: Sequence[Path], out: Path) -> None:
    """Coarse views with their heat in the upper half, fine ones with their parts below."""
    torch.manual_seed(0)
    stock = load(folders, torch.device("cpu"))
    coarse, fine = coarse_views(stock, COUNT), fine_views(stock, COUNT)
    heat = torch.nn.functional.interpolate(coarse.heat[:, None], scale_factor=4.0)[:, 0]
    tiles = []
    for k in range(COUNT):
        seen = _shown(coarse.pictures[k])
        tiles.append(np.clip(seen + heat[k].numpy()[..., None] * (255, 0, 160), 0, 255))
    for k in range(COUNT):
        seen, parts = _shown(fine.pictures[k]), fine.parts[k].numpy()
        tiles.append(np.where((parts > 0)[..., None], 0.55 * seen + 0.45 * COLOURS[parts], seen))
    rows = [np.hstack(tiles[k : k + COLUMNS]) for k in range(0, len(tiles), COLUMNS)]
    cv2.imwrite(str(out), np.vstack(rows)[..., ::-1].astype(np.uint8))


def _shown(picture: torch.Tensor) -> npt.NDArray[np.float32]:
    return (picture.numpy().transpose(1, 2, 0) * 127.5 + 127.5).astype(np.float32)
