"""Measurements and a small model whose answers are plain to see."""

import numpy as np

from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import Curves
from tipvision.condition.detectors import Detectors
from tipvision.condition.features import NAMES
from tipvision.condition.known import Known
from tipvision.condition.model import KNOTS, Model
from tipvision.measure.bands import load_bands
from tipvision.measure.measurement import Measurement

F, C = len(NAMES), len(CONDITIONS)


def measured(
    lightness: float, shine: float = 1.5, specks: float = 0.0, doubt: float = 1.0, **signs: float
) -> Measurement:
    """A grey nose of this lightness; `doubt` is the standard deviation of it over the light."""
    colour = np.array([lightness, 0.0, 0.0])
    samples = colour + doubt * np.linspace(-1.7, 1.7, 64)[:, None] * (1, 0, 0)
    return Measurement(
        lab=colour,
        sd=np.array([doubt, 0.1, 0.1]),
        samples=samples,
        zones=colour[None],
        weights=np.ones(1),
        bands={band.name: 0.0 for band in load_bands()},
        shares={band.name: 0.25 for band in load_bands()},
        shine=shine,
        texture=1.0,
        evenness=1.0,
        specks=specks,
        glare=0.0,
        clipped=0.0,
        metal=np.broadcast_to([50.0, 0.0, 2.0], (64, 3)),
        signs={"nose_to_shell": 0.0, **signs},
    )


def plain_model(**slopes: dict[str, float]) -> Model:
    """A model of straight lines: for each feature a slope for some labels, over 0 to 100 for
    lightness and -3 to 3 for the others. Everything is known to it."""
    knots = np.tile(np.linspace(-3, 3, KNOTS), (F, 1))
    knots[NAMES.index("lightness")] = np.linspace(0, 100, KNOTS)
    held = np.zeros((C, F, KNOTS - 1))
    for name, by_label in slopes.items():
        for label, slope in by_label.items():
            held[CONDITIONS.index(label), NAMES.index(name), 0] = slope
    middle = np.zeros((F, KNOTS - 1))
    middle[:, 0] = 0.5
    curves = Curves(knots, np.zeros(F), middle, np.ones((F, KNOTS - 1)), held, np.zeros(C))
    known = Known(np.zeros(F), np.ones(F), np.zeros((C, F)), np.eye(F) / 1e6, 1.0)
    return Model(
        name="plain",
        version="0",
        coverage=0.95,
        labels=CONDITIONS,
        curves=curves,
        sharpness=1.0,
        shifts=np.zeros(C),
        least=dict.fromkeys(CONDITIONS, 0.3),
        heat={"specks": np.log(0.013)},
        medians=np.zeros((C, F)),
        known=known,
        detectors=Detectors((), np.zeros((0, F, KNOTS - 1)), np.zeros(0)),
    )
