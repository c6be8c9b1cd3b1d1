"""Illuminants against CIE's own chromaticities, and cameras that vary but keep their shape."""

import colour
import numpy as np
import pytest

from pipelines.studio.lights.spectra import (
    CAMERAS,
    FINE,
    ILLUMINANTS,
    camera,
    illuminant,
    observer,
)


@pytest.mark.parametrize("name", ILLUMINANTS)
def test_chromaticity_is_the_published_one(name: str) -> None:
    # Source: colour-science CCS_ILLUMINANTS (CIE 15), 2° observer; four decimals there, and our
    # grid of 5 nm costs a little in lamps with lines.
    xyz = illuminant(name) @ observer()
    published = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
    assert xyz[:2] / xyz.sum() == pytest.approx(published, abs=2e-3)
    assert xyz[1] == pytest.approx(1.0)


def test_every_series_that_the_studio_promises_is_there() -> None:
    assert {"A", "D50", "D65"} <= set(ILLUMINANTS)
    assert {f"FL{k}" for k in range(1, 13)} <= set(ILLUMINANTS)
    assert sum(name.startswith("LED") for name in ILLUMINANTS) == 9
    with pytest.raises(KeyError, match="known: A, D50"):
        illuminant("candle")


def test_cameras_differ_and_each_sees_red_green_and_blue_in_their_order() -> None:
    every = {name: camera(name) for name in CAMERAS}
    for name, table in every.items():
        blue, green, red = (FINE[table[:, k].argmax()] for k in (2, 1, 0))
        assert blue < green < red, name
        assert table.min() >= 0 and table[:, 1].max() == pytest.approx(1.0)
    assert len({table.tobytes() for table in every.values()}) == len(CAMERAS)
    for name, (parent, _, _) in CAMERAS.items():
        for k in range(3):
            assert np.corrcoef(every[name][:, k], every[parent][:, k])[0, 1] > 0.95
    with pytest.raises(KeyError, match="known: A, A1"):
        camera("C")
