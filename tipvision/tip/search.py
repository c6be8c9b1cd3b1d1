"""The one way to a photo's firing ends: which finder looks is decided here and nowhere else."""

import numpy as np
from numpy.typing import NDArray

from tipvision.tip.closer import Closer
from tipvision.tip.find import Hint, find_tips
from tipvision.tip.tip import TipSearch


def search_tips(
    overview: NDArray[np.uint8],
    size: tuple[int, int],
    hint: Hint | None = None,
    closer: Closer | None = None,  # noqa: ARG001 (the net's finder asks for it, the rings do not)
) -> TipSearch:
    """Firing ends in a photo, most certain first (`find.find_tips` says what comes back)."""
    return find_tips(overview, size, hint)
