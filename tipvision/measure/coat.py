"""The coat net: what it sees lying on a nose, as named signs."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.light import Light
from tipvision.measure.coat_view import COAT_PX, KNOWN, coat_view, cut_round, doubt_of
from tipvision.onnx_net import answers, load_nets
from tipvision.photo.photo import Window
from tipvision.shipped import models_folder
from tipvision.tip.tip import Part

COATS = ("normal", "dry_black", "wet_black", "chalk_white", "unused", "none")
MARKS = (
    *("fuel_wet", "ash", "glazed", "bridged", "worn", "cracked", "pre_ignition"),
    *("detonation", "metal_specks", "coloured", "coolant", "dust", "mechanical", "uneven"),
)
"""Conditions and findings as the record names them (a test holds them together): the order in
which the net was taught."""

TOLD = len(COATS) + len(MARKS) + 1
"""Numbers that the net tells: a logit of each coat and of each mark, and of the share that is
wet."""

METAL = (Part.ELECTRODE, Part.STRAP, Part.SHELL)
MOST = 8.0  # of a logit: surer than that no net is
COAT_SIGNS = (
    *(f"coat_{name}" for name in COATS),
    *(f"mark_{name}" for name in MARKS),
    "coat_wet",
)
_FILE = "coat.onnx"
_UNFIT = "The coat net is not one that this tipvision runs. Install it again."


@dataclass(frozen=True)
class CoatNet:
    """One object serves one thread. name, version: as its manifest says.

    Its first look shows whether it is a net of these views and answers.
    """

    name: str
    version: str
    _net: cv2.dnn.Net

    def told(self, views: NDArray[np.float32]) -> NDArray[np.float32]:
        """float32 (n, TOLD) of views, float32 (n, CHANNELS, 128, 128), each 0 to 1.

        Raises ModelFault when the answer has not that shape or is not finite.
        """
        blob = np.ascontiguousarray(views)
        return np.asarray(answers(self._net, blob, {"told": (len(blob), TOLD)}, _UNFIT)["told"])


def coat_signs(
    window: Window, labels: NDArray[np.uint8], light: Light, net: CoatNet
) -> Mapping[str, float]:
    """What the net sees of the nose, by the names in `COAT_SIGNS`; empty where no nose shows, and
    where no metal was made out round it: the net learned from noses within their parts.

    coat_NAME: ln odds of how much of the coat is like that condition ("none": like none of them).
    mark_NAME: ln odds of that finding.
    coat_wet:  ln odds of the share of the nose under a wet or glazed film.

    The net looks twice, at the nose and at its mirror image, and the mean counts: two looks miss by
    less than one (measured: `python -m pipelines.condition evaluate` with version 6 of the model,
    look tune: mean -ln of what the truth got 0.81 with one look, 0.76 with two).

    window: shows the box of a tip. labels: of that tip. light: at its reference.
    """
    cut = cut_round(window.linear, labels)
    if cut is None or not np.isin(cut.labels, METAL).any():
        return {}
    planes = np.broadcast_to(doubt_of(light)[:, None, None], (KNOWN, COAT_PX, COAT_PX))
    view = np.concatenate([coat_view(cut, light.correction), planes])
    told = net.told(np.stack([view, view[:, :, ::-1]])).mean(axis=0, keepdims=True)
    return dict(zip(COAT_SIGNS, signs_of(told)[0].tolist(), strict=True))


def signs_of(told: NDArray[np.float32]) -> NDArray[np.float64]:
    """Signs in the order of `COAT_SIGNS` of what the net tells, float64 (n, signs) of (n, TOLD)."""
    coats, others = np.split(told.astype(np.float64), [len(COATS)], axis=1)
    top = coats.max(axis=1, keepdims=True)
    shares = np.exp(coats - top)
    shares /= shares.sum(axis=1, keepdims=True)
    rest = np.maximum(1 - shares, 1e-9)
    odds = np.log(np.maximum(shares, 1e-9) / rest)
    return np.asarray(np.clip(np.concatenate([odds, others], axis=1), -MOST, MOST))


@cache
def default_coat_net() -> CoatNet:
    """The shipped net."""
    return load_coat_net(models_folder() / "coat")


def load_coat_net(folder: Path) -> CoatNet:
    """The net in `folder` (`coat.onnx`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or it is no
    net at all.
    """
    held = load_nets(folder, (_FILE,), _UNFIT)
    return CoatNet(held.name, held.version, *held.nets)
