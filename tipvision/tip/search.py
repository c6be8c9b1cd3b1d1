"""The one way to a photo's firing ends, by the net that ships."""

import numpy as np
from numpy.typing import NDArray

from tipvision.tip.closer import Closer
from tipvision.tip.hint import Hint
from tipvision.tip.net import default_net
from tipvision.tip.parts_round import with_parts
from tipvision.tip.seek import seek_tips
from tipvision.tip.tip import Tip, TipSearch


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


def parts_round(
    tip: Tip, overview: NDArray[np.uint8], size: tuple[int, int], closer: Closer | None = None
) -> Tip:
    """A tip that a person outlined, with the parts round its nose (`parts_round.with_parts`).

    Raises ModelFault when the shipped net is incomplete or was changed.
    """
    return with_parts(default_net(), tip, overview, size, closer)
