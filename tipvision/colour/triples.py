"""The one check that every colour function makes of what it is given."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def triples(values: ArrayLike, what: str) -> NDArray[np.float64]:
    """`values` as float64 (..., 3); the input itself is never written to.

    Parameters
    ----------
    values: numbers (..., 3), any integer or float dtype.
    what:   name of the values for the error message, such as "XYZ".

    Raises
    ------
    ValueError: the last axis does not have length 3.
    """
    array = np.asarray(values, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ValueError(
            f"{what} needs three numbers on its last axis; its shape is {array.shape}."
        )
    return array
