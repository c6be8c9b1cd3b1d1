"""A shop's rows drawn from plain rules: sooty noses are dark, oily ones shine. And a model
that has learnt them."""

from dataclasses import replace
from functools import cache

import numpy as np

from tests.condition.examples import plain_model
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import ONCE, UNDER_LIGHT
from tipvision.condition.model import Model
from tipvision.teaching.adapting import fitted, lesson_of
from tipvision.teaching.rows import Rows

USUAL = {
    "normal": (60.0, 0.5),
    "dry_black": (20.0, 0.5),
    "wet_black": (20.0, 1.8),
    "chalk_white": (80.0, 0.2),
    "unused": (96.0, 1.2),
}
"""L* of a nose, and ln of its shine."""


def made_rows(plugs: int, photos: int = 1, seed: int = 3, shift: float = 0.0) -> Rows:
    """`photos` photos of each of so many plugs, a condition after the other."""
    rng = np.random.default_rng(seed)
    count = plugs * photos
    plug = np.repeat(np.arange(plugs), photos)
    label = np.array([CONDITIONS[k % len(CONDITIONS)] for k in plug])
    lightness, shine = np.array([USUAL[name] for name in label]).T
    own = rng.standard_normal((2, plugs))[:, plug] * [[5.0], [0.3]]
    under_light = np.zeros((count, 64, len(UNDER_LIGHT)))
    draws = rng.standard_normal((count, 64))
    under_light[..., 0] = (lightness + shift + own[0])[:, None] + 3 * draws
    once = np.zeros((count, len(ONCE)))
    once[:, 0] = shine + own[1]
    return Rows(
        photo=np.array([f"{k}.jpg" for k in range(count)]),
        plug=plug.astype(np.int64),
        label=label,
        under_light=under_light.astype(np.float32),
        once=once.astype(np.float32),
        lab=np.stack([lightness + shift, 0 * lightness, 0 * lightness], axis=1),
    )


@cache
def knowing_model() -> Model:
    """Has learnt these rules, in straight lines of lightness and shine, under another lamp than a
    shop whose rows are shifted."""
    rows = made_rows(500, seed=99)
    values = rows.usual_values()
    medians = np.array([np.median(values[rows.label == name], axis=0) for name in CONDITIONS])
    model = plain_model(lightness={"normal": 1e-9}, shine={"normal": 1e-9})
    curves = fitted(lesson_of(rows, model.curves), model.curves, model.curves, pull=0.1)
    return replace(model, curves=curves, medians=medians)
