"""Multinomial logistic regression on splines of features: the plain arrays, and applying them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.condition.features import UNDER_LIGHT, Features
from tipvision.condition.splines import columns_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Curves:
    """For f features in the order of `features.NAMES`, k knots and c labels.

    knots: float64 (f, k). usual: float64 (f,), taken where a feature is not known.
    means, scales: float64 (f, k - 1), of the columns that the splines give.
    slopes: float64 (c, f, k - 1), of the standardised columns. offsets: float64 (c,).
    """

    knots: Array
    usual: Array
    means: Array
    scales: Array
    slopes: Array
    offsets: Array

    def parts(self, features: Features) -> tuple[Array, Array]:
        """What each feature adds to each label's score, 0 on average over what was trained on.

        Returns float64 (n, fu, c) for the features under each of n draws of the light, and float64
        (fo, c) for those that are known once.
        """
        split = len(UNDER_LIGHT)
        return (
            self._parts(features.under_light, slice(0, split)),
            self._parts(features.once[None], slice(split, None))[0],
        )

    def _parts(self, values: Array, which: slice) -> Array:
        known = np.where(np.isnan(values), self.usual[which], values)
        columns = columns_of(known, self.knots[which])
        standard = (columns - self.means[which]) / self.scales[which]
        return np.asarray(np.einsum("nfk,cfk->nfc", standard, self.slopes[:, which]))

    def standard(self, values: Array) -> Array:
        """The standardised columns of rows (n, f), float64 (n, f, k - 1): what is fitted on."""
        known = np.where(np.isnan(values), self.usual, values)
        return np.asarray((columns_of(known, self.knots) - self.means) / self.scales)


def averaged(under_light: Array, once: Array, offsets: Array) -> Array:
    """ln of the labels' probabilities, float64 (c,), averaged over the draws of the light.

    under_light, once: as `Curves.parts` gives them.
    """
    scores = offsets + once.sum(axis=0) + under_light.sum(axis=1)
    scores -= scores.max(axis=1, keepdims=True)
    chances = np.exp(scores)
    chances /= chances.sum(axis=1, keepdims=True)
    return np.asarray(np.log(np.maximum(chances.mean(axis=0), 1e-12)))
