"""What is measured on a drawn nose stays what it was when measuring was made cheap.

The values were stored with the plain code before that (Gaussian filters, float64, exact ranks);
they move by far less than noses differ. A change that is meant stores them anew:
`python tests/measure/test_stored_nose.py > tests/measure/stored_nose.json`.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.condition.features import NAMES, features_of
from tipvision.light.at_the_nose import default_nose_light
from tipvision.light.correction import Correction
from tipvision.light.doubt import doubtful
from tipvision.light.light import Light
from tipvision.measure.bands import load_bands
from tipvision.measure.measure import measure
from tipvision.photo.box import Box
from tipvision.photo.photo import Window
from tipvision.tip.tip import Part, Tip

STORED = Path(__file__).with_name("stored_nose.json")
HEIGHT, WIDTH = 380, 420


def light(degree: int) -> Light:
    """A matrix alone, or the same with roots and a tone curve beside it."""
    samples = doubtful(RGB_TO_XYZ, 0.18, 0.5)
    best = Correction(RGB_TO_XYZ)
    if degree == 2:
        roots = 0.05 * RGB_TO_XYZ[:, [0, 1, 2]]
        best = Correction(np.hstack([0.95 * RGB_TO_XYZ, roots]), 2, np.array([1.1, 0.02]))
    return Light("estimate", best, samples)


def drawn() -> tuple[Window, Tip]:
    """A speckled nose with glare, clipped pixels and all parts round it, off the middle."""
    y, x = np.mgrid[:HEIGHT, :WIDTH] - np.array([200, 190])[:, None, None]
    radius, rng = np.hypot(1.1 * x, y), np.random.default_rng(7)
    labels = np.zeros((HEIGHT, WIDTH), np.uint8)
    labels[radius < 185] = Part.SHELL
    labels[radius < 150] = Part.NOTHING
    labels[radius < 110] = Part.NOSE
    labels[radius < 38] = Part.ELECTRODE
    labels[(np.abs(x + 20) < 24) & (y > 30)] = Part.STRAP
    labels[np.hypot(x - 60, y + 50) < 9] = Part.GLARE
    shares = {Part.NOTHING: 0.04, Part.SHELL: 0.2, Part.STRAP: 0.12, Part.ELECTRODE: 0.3}
    level = 0.30 * np.exp(0.004 * x + 0.15 * np.sin(y / 17))
    for part, share in shares.items():
        level[labels == part] = share
    level[labels == Part.GLARE] = 0.97
    linear = level[..., None] * np.array([1.0, 0.86, 0.66])
    linear *= np.exp(0.08 * rng.standard_normal(linear.shape))
    for row, column in rng.integers(100, 290, (25, 2)):
        linear[row : row + 6, column : column + 6] *= 0.35
    linear = np.clip(linear, 0, 1).astype(np.float32)
    tip = Tip(Box(0, 0, WIDTH, HEIGHT), labels, (), 200.0, "oblique", 1.0, visible=0.8)
    return Window(linear, np.asarray(linear.max(axis=2) > 0.94)), tip


def measured(degree: int) -> dict[str, float]:
    window, tip = drawn()
    found = measure(window, tip, light(degree), load_bands(), default_nose_light())
    assert found is not None
    features = features_of(found, load_bands())
    values = np.concatenate([features.under_light.mean(axis=0), features.once])
    colour = dict(zip(("L*", "a*", "b*"), found.lab, strict=True))
    sd = dict(zip(("sd L*", "sd a*", "sd b*"), found.sd, strict=True))
    return {**colour, **sd, **dict(zip(NAMES, values.tolist(), strict=True))}


@pytest.mark.parametrize("degree", [1, 2])
def test_it_measures_what_it_measured_before(degree):
    found, stored = measured(degree), json.loads(STORED.read_text())[str(degree)]
    assert set(stored) <= set(found)  # what was added later is not held against them
    kept = {name: found[name] for name in stored}
    assert kept == pytest.approx(stored, rel=1e-3, abs=1e-4)
    for name in ("L*", "a*", "b*"):
        assert found[name] == pytest.approx(stored[name], abs=1e-4)


if __name__ == "__main__":
    print(json.dumps({degree: measured(degree) for degree in (1, 2)}, indent=1))
