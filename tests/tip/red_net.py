"""A tip net that was not trained: what is red is nose, a large red spot is a firing end.

Its answers are known beforehand, so that tests can tell whether they come to the right place.
"""

import json
from pathlib import Path

import numpy as np

from pipelines.seal import seal
from tests.tip.onnx_by_hand import constant, model, node

VIEW = (1, 3, 192, 192)
SIZE = 0.25  # of the view: what it says of every firing end's extent
WIDTH = 0.4  # of the crop: what it says of every nose


def write_red_net(folder: Path, quality: float = 3.0) -> Path:
    """Write and seal the net. quality: logit of the overlap that it says to expect."""
    folder.mkdir()
    (folder / "coarse.onnx").write_bytes(_coarse())
    (folder / "fine.onnx").write_bytes(_fine(quality))
    (folder / "manifest.json").write_text(json.dumps({"name": "red", "version": "0", "files": {}}))
    seal(folder)
    return folder


def _coarse() -> bytes:
    """A mean over 20 × 20 pixels, so that a red spot peaks in its middle."""
    weights = np.zeros((2, 3, 1, 1), np.float32)
    weights[0, :2, 0, 0] = 12, -12  # red less green, each −1 to 1
    nodes = [
        node(
            "AveragePool",
            ["picture"],
            "mean",
            kernel_shape=[20, 20],
            strides=[4, 4],
            pads=[8, 8, 8, 8],
            count_include_pad=1,
        ),
        node("Conv", ["mean", "w", "b"], "maps", kernel_shape=[1, 1]),
        node("Conv", ["mean", "w1", "b1"], "red", kernel_shape=[1, 1]),
        node("GlobalMaxPool", ["red"], "top"),
        node("Flatten", ["top"], "plug", axis=1),
    ]
    bias = np.array([-8, np.log(SIZE)], np.float32)
    constants = [
        constant("w", weights),
        constant("b", bias),
        constant("w1", weights[:1]),
        constant("b1", bias[:1]),
    ]
    answers = [("maps", (1, 2, 48, 48)), ("plug", (1, 1))]
    return model(nodes, constants, ("picture", VIEW), answers)


def _fine(quality: float) -> bytes:
    parts = np.zeros((32, 3, 1, 1), np.float32)
    parts[1::8, :2, 0, 0] = 10, -10
    bias = np.full(32, -20, np.float32)
    bias[::8], bias[1::8] = 0, -10  # nose where red stands 1 over green, half of the range
    told = np.zeros((6, 3, 1, 1), np.float32)
    told[0, :2, 0, 0] = 40, -40
    told_bias = np.array([-4, quality, np.log(WIDTH), 0, 3, 0], np.float32)
    nodes = [
        node("AveragePool", ["picture"], "half", kernel_shape=[2, 2], strides=[2, 2]),
        node("Conv", ["half", "w", "b"], "parts", kernel_shape=[1, 1]),
        node("GlobalAveragePool", ["picture"], "all"),
        node("Conv", ["all", "w1", "b1"], "numbers", kernel_shape=[1, 1]),
        node("Flatten", ["numbers"], "told", axis=1),
    ]
    constants = [
        constant("w", parts),
        constant("b", bias),
        constant("w1", told),
        constant("b1", told_bias),
    ]
    answers = [("parts", (1, 32, 96, 96)), ("told", (1, 6))]
    return model(nodes, constants, ("picture", VIEW), answers)
