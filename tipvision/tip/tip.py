"""The firing end as pixels: which of them are nose, electrode, strap and shell."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from tipvision.photo.box import Box


class Part(IntEnum):
    """Labels of a tip's mask; the values are those of the PNG that `--masks` writes."""

    NOTHING = 0
    SHELL = 60
    STRAP = 110
    ELECTRODE = 160
    GLARE = 230  # glare on the nose: it belongs to the nose and is marked on its own
    NOSE = 255


@dataclass(frozen=True)
class Tip:
    """One firing end.

    box:      the part of the displayed photo that `labels` covers, pixels.
    labels:   uint8 (h, w) of `Part` values, stretched over `box`; (h, w) need not be its size.
    outlines: rings of the visible nose, each float64 (n, 2) of x, y in displayed pixels, even-odd.
    nose_px:  diameter of the nose across, displayed pixels.
    view:     "end_on", "oblique" or "side"; None where a person outlined the nose.
    sure:     0 to 1, how sure the finder is of this tip; 1 where a person outlined it.
    visible:  0 to 1, share of the nose that neither strap nor electrode hides.
    by_hand:  True where a person outlined the nose.
    quality:  0 to 1, the overlap (intersection over union) with the true nose that the finder
              expects of its outline; 1 where it does not say.
    """

    box: Box
    labels: NDArray[np.uint8]
    outlines: tuple[NDArray[np.float64], ...]
    nose_px: float
    view: str | None
    sure: float
    visible: float = 1.0
    by_hand: bool = False
    quality: float = 1.0


@dataclass(frozen=True)
class TipSearch:
    """What a search of a photo for firing ends came to.

    tips:     firing ends found, most certain first.
    plug_likely: 0 to 1, how likely any plug is in the photo, found or not.
    """

    tips: tuple[Tip, ...]
    plug_likely: float
