"""A table of noses drawn from two plain rules: sooty ones are dark, oily ones shine."""

import numpy as np

from pipelines.condition.rows import Table
from tests.teaching.made import USUAL
from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS
from tipvision.condition.features import ONCE, UNDER_LIGHT


def made_table(renders: int, photos: int = 2, seed: int = 3, noise: float = 1.0) -> Table:
    """`photos` photos of each of so many plugs, a condition after the other."""
    rng = np.random.default_rng(seed)
    count = renders * photos
    render = np.repeat(np.arange(renders), photos)
    label = np.array([CONDITIONS[k % len(CONDITIONS)] for k in render])
    lightness, shine = np.array([USUAL[name] for name in label]).T
    own = rng.standard_normal((2, renders))[:, render] * [[3.0], [0.2]] * noise
    under_light = rng.standard_normal((count, 64, len(UNDER_LIGHT)))
    under_light[..., 0] = (lightness + own[0])[:, None] + 3 * under_light[..., 0]
    once = rng.standard_normal((count, len(ONCE)))
    once[:, 0] = shine + own[1] + 0.1 * once[:, 0]
    under_light[..., 3:], once[:, 6:] = 0.0, 0.0  # the others say nothing
    once[:, -4:] = 1.0
    return Table(
        photo=np.array([f"{k}.jpg" for k in range(count)]),
        render=render.astype(np.int64),
        number=np.zeros(count, np.int64),
        label=label,
        shares=np.zeros((count, len(LABELS)), np.float32),
        findings=np.zeros((count, len(FINDINGS)), bool),
        nose_lab=np.stack([lightness, 0 * lightness, 0 * lightness], axis=1).astype(np.float32),
        nose_px=np.full(count, 60, np.float32),
        view=np.full(count, "end_on"),
        source=np.where(render % 2 == 0, "chart", "estimate"),
        own=np.ones(count, bool),
        gated=np.where(np.arange(count) % 10 == 0, "blurred", ""),
        under_light=under_light.astype(np.float32),
        once=once.astype(np.float32),
    )
