"""Many colours close together are told from one colour in light and shadow."""

import numpy as np
import pytest

from tipvision.light.many_colours import many_colours


def tiles(side: int, colours: np.ndarray, shape: tuple[int, int] = (400, 600)) -> np.ndarray:
    """A grey photo with four by six tiles of that side at (100, 60)."""
    photo = np.full((*shape, 3), 110, np.uint8)
    block = np.kron(colours.reshape(4, 6, 3), np.ones((side, side, 1))).astype(np.uint8)
    photo[60 : 60 + block.shape[0], 100 : 100 + block.shape[1]] = block
    return photo


@pytest.mark.parametrize("side", [6, 12, 40])
@pytest.mark.parametrize("gains", [(1, 1, 1), (0.9, 0.6, 0.3)])
def test_tiles_of_many_colours_are_found_where_they_lie_in_any_cast(side: int, gains) -> None:
    colours = np.random.default_rng(side).integers(20, 255, (24, 3)) * np.array(gains)
    part = many_colours(tiles(side, colours))
    assert part is not None
    middle = (100 + 3 * side, 60 + 2 * side)
    assert part.x0 <= middle[0] <= part.x1 and part.y0 <= middle[1] <= part.y1
    assert part.x1 - part.x0 <= 6 * side + 160


def test_light_and_shadow_and_two_colours_are_not_many() -> None:
    rng = np.random.default_rng(0)
    shades = rng.uniform(0.1, 1.0, (24, 1)) * np.array([[200.0, 150.0, 90.0]])
    assert many_colours(tiles(20, shades)) is None
    two = np.where(rng.random((24, 1)) < 0.5, [[200.0, 150.0, 90.0]], [[90.0, 100.0, 160.0]])
    assert many_colours(tiles(20, two)) is None
    noise = np.clip(rng.normal(60, 12, (300, 400, 3)), 0, 255).astype(np.uint8)
    assert many_colours(noise) is None


@pytest.mark.parametrize("shape", [(1, 1), (2, 900), (3, 3)])
def test_tiny_photos_are_looked_at(shape: tuple[int, int]) -> None:
    assert many_colours(np.zeros((*shape, 3), np.uint8)) is None
