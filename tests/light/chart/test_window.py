"""Windows of a grid of tiles."""

import numpy as np

from tipvision.light.chart.lattice import Lattice
from tipvision.light.chart.window import best_window


def test_a_grid_too_long_and_thin_for_the_chart_holds_no_window() -> None:
    places = np.array([(column, row) for column in range(12) for row in range(2)])
    even = np.full((400, 400, 3), 120, np.uint8)
    across = Lattice(np.diag([30.0, 30.0, 1.0]), places)
    assert best_window(even, across) is None
    thin = np.array([(column, column % 2) for column in range(9)])
    assert best_window(even, Lattice(np.diag([40.0, 40.0, 1.0]), thin)) is None
