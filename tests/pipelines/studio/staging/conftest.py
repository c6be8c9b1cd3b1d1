"""Stages are looked at for what stands where: their surfaces may be coarse."""

from collections.abc import Iterator

import pytest

from pipelines.studio.materials.surface import detail


@pytest.fixture(autouse=True)
def coarse_surfaces() -> Iterator[None]:
    """Maps of a tenth of the texels along each side; shapes and places are as ever."""
    with detail(0.1):
        yield
