"""The two coat nets: what they see lying on a nose, as named signs."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.light.light import Light
from tipvision.measure.coat_view import coat_view, cut_round, doubt_of, with_doubt
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
which the nets were taught."""

TOLD = len(COATS) + len(MARKS) + 1
"""Numbers that a net tells: a logit of each coat and of each mark, and of the share that is
wet."""

METAL = (Part.ELECTRODE, Part.STRAP, Part.SHELL)
MOST = 8.0  # of a logit: surer than that no net is
COAT_SIGNS = (
    *(f"coat_{name}" for name in COATS),
    *(f"mark_{name}" for name in MARKS),
    "coat_wet",
)
FILES = ("older.onnx", "newer.onnx")
_UNFIT = "The coat nets are not ones that this tipvision runs. Install it again."


@dataclass(frozen=True)
class CoatNets:
    """Two nets that learnt from unlike plugs. One object serves one thread. name, version: as their
    manifest says.

    Their first look shows whether they are nets of these views and answers.
    """

    name: str
    version: str
    nets: tuple[cv2.dnn.Net, ...]

    def told(self, views: NDArray[np.float32]) -> NDArray[np.float32]:
        """The mean of what the nets tell, float32 (n, TOLD), of views, float32 (n, CHANNELS, 128,
        128), each 0 to 1.

        Raises ModelFault when the answer has not that shape or is not finite.
        """
        blob = np.ascontiguousarray(views)
        shape = {"told": (len(blob), TOLD)}
        told = [answers(net, blob, shape, _UNFIT)["told"] for net in self.nets]
        return np.asarray(np.mean(told, axis=0))


def coat_signs(
    window: Window, labels: NDArray[np.uint8], light: Light, nets: CoatNets
) -> Mapping[str, float]:
    """What the nets see of the nose, by the names in `COAT_SIGNS`; empty where no nose shows, and
    where no metal was made out round it: the nets learned from noses within their parts.

    coat_NAME: ln odds of how much of the coat is like that condition ("none": like none of them).
    mark_NAME: ln odds of that finding.
    coat_wet:  ln odds of the share of the nose under a wet or glazed film.

    Each net looks once and the mean counts: two that learnt from unlike plugs miss by less than
    either alone (measured: `python -m pipelines.coat alone`, look tune).

    window: shows the box of a tip. labels: of that tip. light: at its reference.
    """
    cut = cut_round(window.linear, labels)
    if cut is None or not np.isin(cut.labels, METAL).any():
        return {}
    view = with_doubt(coat_view(cut, light.correction), doubt_of(light))
    return dict(zip(COAT_SIGNS, signs_of(nets.told(view[None]))[0].tolist(), strict=True))


def signs_of(told: NDArray[np.float32]) -> NDArray[np.float64]:
    """Signs in the order of `COAT_SIGNS` of what the nets tell, float64 (n, signs) of (n, TOLD)."""
    coats, others = np.split(told.astype(np.float64), [len(COATS)], axis=1)
    top = coats.max(axis=1, keepdims=True)
    shares = np.exp(coats - top)
    shares /= shares.sum(axis=1, keepdims=True)
    rest = np.maximum(1 - shares, 1e-9)
    odds = np.log(np.maximum(shares, 1e-9) / rest)
    return np.asarray(np.clip(np.concatenate([odds, others], axis=1), -MOST, MOST))


@cache
def default_coat_nets() -> CoatNets:
    """The shipped nets."""
    return load_coat_nets(models_folder() / "coat")


def load_coat_nets(folder: Path) -> CoatNets:
    """The nets in `folder` (`FILES`, `manifest.json`).

    Raises ModelFault when a file is missing, its SHA-256 differs from the manifest's, or it is no
    net at all.
    """
    held = load_nets(folder, FILES, _UNFIT)
    return CoatNets(held.name, held.version, held.nets)
