"""What turns the camera's colours into colours under daylight, and how to apply it."""

from dataclasses import dataclass, field, replace
from typing import Self, TypeVar

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipvision.colour.triples import triples

Float = TypeVar("Float", np.float32, np.float64)

TERMS = {1: 3, 2: 6, 3: 13}
"""Number of root-polynomial terms by degree."""

PIVOT = 0.2  # nominal linear light about which the tone curve bends: a mid grey
BEND_REACH = 3.0  # |ln(light / PIVOT)| from which on the curve goes on straight


@dataclass(frozen=True)
class Correction:
    """A tone curve, then a matrix over root-polynomial terms; or a stack of those.

    A stack holds draws that carry doubt. Its leading shape, below written S, is () for one
    correction and (n,) for n draws.

    matrix: float64 (*S, 3, k), from the terms to CIE XYZ under D65, 2° observer, Y of a perfect
            white = 1; k = 3, 6 or 13.
    degree: of the terms, 1 (linear: red, green, blue themselves), 2 or 3.
    tone:   float64 (*S, 2), exponent and bend of the tone curve. With u = ln(light / PIVOT) it
            makes exponent · u + bend · u² of u; (1, 0) leaves light as it is.

    Raises ValueError when the shapes do not agree.

    Source of the terms: Finlayson, Mackiewicz and Hurlbert 2015 (reference library: colour-science
    0.4.7, `polynomial_expansion_Finlayson2015`). Their value doubles when red, green and blue
    double, so a fit holds at every exposure, as long as there is no tone curve.
    """

    matrix: NDArray[np.float64]
    degree: int = 1
    tone: NDArray[np.float64] = field(default_factory=lambda: np.array([1.0, 0.0]))

    def __post_init__(self) -> None:
        if self.degree not in TERMS:
            raise ValueError(f"A correction has degree 1, 2 or 3, not {self.degree}.")
        wanted = (3, TERMS[self.degree])
        if self.matrix.shape[-2:] != wanted:
            raise ValueError(
                f"The matrix of degree {self.degree} ends in the shape {wanted}; "
                f"its shape is {self.matrix.shape}."
            )
        if self.tone.shape not in ((2,), (*self.matrix.shape[:-2], 2)):
            raise ValueError(
                f"The tone curve of a matrix {self.matrix.shape} has the shape {self.tone.shape}."
            )

    @classmethod
    def linear(cls, matrix: ArrayLike) -> Self:
        """The correction that is a matrix alone, numbers (*S, 3, 3), or a stack of such."""
        return cls(np.asarray(matrix, np.float64))

    @property
    def draws(self) -> int:
        """How many corrections are stacked; 1 for a single one."""
        return int(np.prod(self.matrix.shape[:-2], dtype=int))

    def xyz(self, rgb: ArrayLike) -> NDArray[np.float64]:
        """CIE XYZ under D65, 2° observer, Y of a perfect white = 1.

        rgb: numbers (..., 3), nominal linear sRGB as the camera stored it, 0 to 1; below 0 (noise)
             counts as 0 where a tone curve or a root is taken of it. NaN stays NaN.
        Returns float64 (*S, ..., 3): each draw applied to all of `rgb`.
        Raises ValueError when the last axis of `rgb` does not have length 3.
        """
        light = triples(rgb, "RGB")
        flat = light.reshape(-1, 3)
        terms = root_terms(tone_curve(flat, self.tone), self.degree)
        result: NDArray[np.float64] = terms @ np.swapaxes(self.matrix, -1, -2)
        return result.reshape(*self.matrix.shape[:-2], *light.shape)

    def luminance(self, rgb: ArrayLike) -> NDArray[np.float64]:
        """Y alone of `xyz`, float64 (*S, ...)."""
        light = triples(rgb, "RGB")
        terms = root_terms(tone_curve(light.reshape(-1, 3), self.tone), self.degree)
        result: NDArray[np.float64] = (terms @ self.matrix[..., 1, :, None])[..., 0]
        return result.reshape((*self.matrix.shape[:-2], *light.shape[:-1]))

    def fast_luminance(self, picture: NDArray[np.float32]) -> NDArray[np.float32]:
        """Y alone of `xyz` of a picture, float32 (h, w, 3), in single precision: float32 (h, w).

        Only for one correction, not for a stack.
        """
        terms = root_terms(tone_curve(picture.reshape(-1, 3), self.tone), self.degree)
        light = cv2.transform(terms[None], self.matrix[1:2])
        return np.asarray(light, np.float32).reshape(picture.shape[:2])

    def scaled(self, factors: ArrayLike) -> Self:
        """The same with XYZ times `factors`, numbers of a shape that broadcasts with S; one
        correction and factors (n,) give a stack of n."""
        factor = np.asarray(factors, np.float64)
        matrix = self.matrix * factor[..., None, None]
        tone = np.broadcast_to(self.tone, (*matrix.shape[:-2], 2))
        return replace(self, matrix=matrix, tone=tone)


def tone_curve(light: NDArray[Float], tone: NDArray[np.float64]) -> NDArray[Float]:
    """Light with the camera's own contrast undone.

    light: float64 or float32 (n, 3), nominal linear, 0 to 1.
    tone:  float64 (2,) or (*S, 2), exponent and bend, as in `Correction`.
    Returns (n, 3) or (*S, n, 3) of the dtype of `light`.
    """
    exponent, bend = (tone[..., k, None, None].astype(light.dtype) for k in range(2))
    if np.all(exponent == 1.0) and np.all(bend == 0.0):
        return light  # the usual case; broadcasts like a stack
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.log(np.maximum(light, 0.0) / PIVOT)
        near = np.clip(u, -BEND_REACH, BEND_REACH)
        bent = exponent * u + bend * near * (2.0 * u - near)  # u² near the pivot, its tangent far
        return np.where(light <= 0.0, light.dtype.type(0), PIVOT * np.exp(bent))


def root_terms(light: NDArray[Float], degree: int) -> NDArray[Float]:
    """Root-polynomial terms of light (..., 3): (..., 3), (..., 6) or (..., 13) of its dtype."""
    if degree == 1:
        return light
    r, g, b = np.moveaxis(np.maximum(light, 0.0), -1, 0)
    terms = [r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)]
    if degree == 3:
        pairs = ((r, g), (g, b), (r, b), (g, r), (b, g), (b, r))
        terms += [np.cbrt(one * other**2) for one, other in pairs]
        terms.append(np.cbrt(r * g * b))
    return np.stack(terms, axis=-1)
