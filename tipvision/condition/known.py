"""Whether a photo is like those that the model was made from."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Known:
    """Where the features of each label lie.

    usual, spread: float64 (f,): the features' means and standard deviations, for scale.
    middles: float64 (c, f), of each label in that scale. precision: float64 (f, f), the inverse of
    the covariance within labels, shrunk so that it is one. farthest: the distance from the nearest
    middle beyond which a photo is not like any that the model knows.
    """

    usual: Array
    spread: Array
    middles: Array
    precision: Array
    farthest: float

    def distance(self, values: Array) -> float:
        """Mahalanobis distance of features (f,) from the nearest middle; what is not known (NaN)
        counts as usual."""
        known = np.where(np.isnan(values), self.usual, values)
        away = (known - self.usual) / self.spread - self.middles
        return float(np.sqrt(np.einsum("cf,fg,cg->c", away, self.precision, away).min()))
