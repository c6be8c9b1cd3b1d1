"""Numbers put into the renderer's memory (needs Mitsuba)."""

from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
import numpy.typing as npt


def held(kind: Any, values: npt.NDArray[Any]) -> Any:
    """The values, flat, as a `kind` array in memory of the renderer's own.

    How memory is aligned changes the compiled code, and compiling takes longer than tracing a
    small picture; arrays of NumPy are used where they lie.
    """
    flat = np.ravel(values)
    out = dr.empty(kind, flat.size)
    dr.scatter(out, kind(flat), dr.arange(mi.UInt32, flat.size))
    dr.eval(out)
    return out
