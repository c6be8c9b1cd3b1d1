"""No plug stands in both parts of a fit."""

import numpy as np

from pipelines.coat.parts import PARTS, part_of
from pipelines.condition.rows import Table


def test_photos_of_one_render_are_held_out_together() -> None:
    count = 60
    render = np.repeat(np.arange(count // 3), 3)
    columns = {name: np.zeros(count) for name in Table.__annotations__}
    table = Table(**{**columns, "render": render})
    parts = part_of(table)
    assert set(parts.tolist()) == set(range(PARTS))
    assert all(len(set(parts[render == k])) == 1 for k in set(render))
