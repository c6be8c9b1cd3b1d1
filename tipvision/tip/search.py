"""The one way to a photo's firing ends, by the net that ships."""

import numpy as np
from numpy.typing import NDArray

from tipvision.tip.closer import Closer
from tipvision.tip.hint import Hint
from tipvision.tip.net import default_net
from tipvision.tip.seek import seek_tips
from tipvision.tip.tip import TipSearch


def search_tips(
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    hint: Hint | None = None,
    closer: Closer | None = None,
) -> TipSearch:
    """Firing ends in a photo, most certain first (`seek.seek_tips` says what comes back).

    Raises ModelFault when the shipped net is incomplete or was changed.
    """
    return seek_tips(default_net(), overview, size, hint, closer)
