"""What a colour seen under one white becomes under another."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.triples import triples

_CONE_RESPONSE = np.array(
    [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ]
)


def bradford(white_from: ArrayLike, white_to: ArrayLike) -> NDArray[np.float64]:
    """The linear Bradford adaptation, complete, as a matrix.

    Parameters
    ----------
    white_from, white_to: numbers (3,), XYZ of the two whites, on one scale (Y = 1), 2° observer;
                          `chromaticity.xy_to_xyz` makes them from x, y.

    Returns
    -------
    float64 (3, 3), XYZ under `white_from` to XYZ under `white_to`: `xyz @ matrix.T`.

    Raises
    ------
    ValueError: a white does not have three numbers, is not finite, or has no response in one of
                the three channels (no real lamp does that).

    Source: the linearised Bradford transform (reference library: colour-science 0.4.7,
    `matrix_chromatic_adaptation_VonKries`). Bradford rather than CAT16, because ICC profiles of
    photos are made with it, so one transform runs through the whole of a reading.
    """
    source, target = triples(white_from, "white_from"), triples(white_to, "white_to")
    if source.ndim != 1 or target.ndim != 1:
        raise ValueError("bradford takes one white at a time, three numbers each.")
    before, after = _CONE_RESPONSE @ source, _CONE_RESPONSE @ target
    if not (np.isfinite(before).all() and np.isfinite(after).all() and before.all()):
        raise ValueError(f"No adaptation leads from the white {source} to the white {target}.")
    matrix: NDArray[np.float64] = np.linalg.solve(
        _CONE_RESPONSE, (after / before)[:, np.newaxis] * _CONE_RESPONSE
    )
    return matrix
