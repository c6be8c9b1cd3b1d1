"""The models that are tried on a chart: maps of three degrees, each under three tone curves."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.regression import AWAY, fit_matrix, fit_shading, fit_tone
from tipvision.light.correction import tone_curve

_NO_TONE = np.array([1.0, 0.0])
BENDS = (None, False, True)
"""Whether a tone curve bends; None stands for no tone curve."""
DEGREES = (1, 2, 3)


@dataclass(frozen=True)
class Curve:
    """What is undone before colours are fitted: a tone curve and a fall-off of light.

    bends: of `BENDS`. tone: float64 (2,), as in `Correction`. shading: float64 (2,), change of
    ln(light) a column and a row.
    """

    bends: bool | None
    tone: NDArray[np.float64]
    shading: NDArray[np.float64]


@dataclass(frozen=True)
class Model:
    """A model as fitted: its curve and what it makes of each patch.

    matrix: float64 (3, k), to XYZ. predicted: float64 (n, 3), XYZ of each patch as the others
    predict it. misses: float64 (n,), CIEDE2000 of that.
    """

    degree: int
    curve: Curve
    matrix: NDArray[np.float64]
    predicted: NDArray[np.float64]
    misses: NDArray[np.float64]

    @property
    def unknowns(self) -> int:
        """How many numbers it has: a tone curve one or two, a degree three or more a channel."""
        bends = self.curve.bends
        return self.matrix.size + (0 if bends is None else 1 + bends)

    @property
    def name(self) -> str:
        """Such as "root-polynomial 2, tone curve"."""
        terms = "linear" if self.degree == 1 else f"root-polynomial {self.degree}"
        return terms if self.curve.bends is None else f"{terms}, tone curve"


def all_models(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> list[Model]:
    """Every curve with every degree. All curves at once: the calls cost more than so few numbers.

    light:     float64 (24, 3), nominal linear RGB of the patches.
    reference: float64 (24, 3), XYZ of the printed patches under D65.
    kept:      numbers of the patches that count; `predicted` and `misses` are of these.
    greys:     numbers of the neutral patches among them.
    """
    tones, shadings = _curves(light, reference, kept, greys)
    curves = [Curve(*curve) for curve in zip(BENDS, tones, shadings, strict=True)]
    true = tone_curve(light[kept], tones) * np.exp(-shadings @ AWAY[kept].T)[..., None]
    printed = xyz_to_lab(reference[kept])
    models = []
    for degree in DEGREES:
        matrices, predicted = fit_matrix(true, reference[kept], degree)
        misses = ciede2000(xyz_to_lab(predicted), printed)
        fits = zip(curves, matrices, predicted, misses, strict=True)
        models += [Model(degree, *fit) for fit in fits]
    return models


def _curves(
    light: NDArray[np.float64],
    reference: NDArray[np.float64],
    kept: NDArray[np.int_],
    greys: NDArray[np.int_],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """A tone curve (2,) and the fall-off (2,) under it, each for all of `BENDS`: (3, 2)."""
    tones, shadings = np.stack([_NO_TONE] * len(BENDS)), np.zeros((len(BENDS), 2))
    for _ in range(2):
        # shading is of true light; near the tone curve's middle an exponent scales it
        falling = np.exp(-shadings @ AWAY[greys].T / tones[:, :1])[..., None]
        tones = np.stack(
            [
                _NO_TONE if bends is None else fit_tone(level, reference[greys, 1], bends)
                for bends, level in zip(BENDS, light[greys] * falling, strict=True)
            ]
        )
        shadings = fit_shading(tone_curve(light[kept], tones), reference[kept], AWAY[kept])
    return tones, shadings
