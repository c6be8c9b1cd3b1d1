"""References: the chart's colours against its published ones, corners where the sheet ends."""

import colour
import numpy as np
import pytest

from pipelines.studio.camera import XYZ_TO_SRGB
from pipelines.studio.lights.spectra import FINE, illuminant, observer
from pipelines.studio.materials.spectra import hats, lab
from pipelines.studio.materials.surface import reflectance
from pipelines.studio.references.flat import FLATS, LOOK_ALIKES, Flat, flat, patch_reflectances

LIMIT = 0.25
"""ΔE00 for each patch, of the way over sixteen wavelengths 20 nm apart."""


def _published() -> np.ndarray:
    """CIELAB (24, 3) under D65 of the same averages, from colour-science's own integration.

    Source: SDS_COLOURCHECKERS["babel_average"], sd_to_XYZ with CIE D65 and the 2° observer.
    """
    chart = colour.SDS_COLOURCHECKERS["babel_average"]
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D65"]
    xyz = np.stack([colour.sd_to_XYZ(s, cmfs, light) for s in chart.values()]) / 100
    return np.asarray(colour.XYZ_to_Lab(xyz, [0.31270, 0.32900]))


def _delta(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.asarray(colour.delta_E(a, b, method="CIE 2000"))


def test_patches_under_d65_have_their_published_colours() -> None:
    assert _delta(lab(patch_reflectances()), _published()).max() < LIMIT


def test_published_reference_table_agrees_too() -> None:
    # Source: CCS_COLOURCHECKERS["BabelColor Average"], xyY under D50, moved to D65 by the CAT02
    # transform: an adaptation, not the same light, so the limit is wider.
    chart = colour.CCS_COLOURCHECKERS["BabelColor Average"]
    xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
    white = colour.xy_to_XYZ(chart.illuminant)
    d65 = colour.xy_to_XYZ([0.31270, 0.32900])
    moved = colour.adaptation.chromatic_adaptation_VonKries(xyz, white, d65, transform="CAT02")
    wanted = colour.XYZ_to_Lab(moved, [0.31270, 0.32900])
    off = _delta(lab(patch_reflectances()), wanted)
    assert off.mean() < 1.5
    assert off.max() < 4.5


def _at(face: Flat, column: int, row: int) -> np.ndarray:
    """Reflectance at the middle of a patch, counted from the top left."""
    name, mesh, surface = face.pieces[0]
    assert name == "chart"
    top_left, top_right, _, low_left = face.field
    s, t = (column + 0.5) / 6, (row + 0.5) / 4
    point = top_left + s * (top_right - top_left) + t * (low_left - top_left)
    low, high = mesh.vertices.min(0), mesh.vertices.max(0)
    uv = ((point - low) / np.maximum(high - low, 1e-9))[None, :2]
    return np.asarray(reflectance(surface, uv)[0])


def test_the_chart_lies_the_right_way_round() -> None:
    chart = flat("chart", 1)
    for k, wanted in enumerate(patch_reflectances()):
        row, column = divmod(k, 6)
        # Half a cell's offset would show a neighbour: patches are found by field corners alone.
        assert _at(chart, column, row) == pytest.approx(wanted, abs=1e-6)


def test_grey_card_reflects_eighteen_per_cent_at_all_wavelengths() -> None:
    card = flat("grey_card", 4)
    assert reflectance(card.pieces[0][2], np.array([[0.5, 0.5]])) == pytest.approx(0.18)


@pytest.mark.parametrize("name", FLATS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_corners_are_those_of_the_sheet_clockwise_from_the_top_left(name: str, seed: int) -> None:
    made = flat(name, seed)
    assert made.kind == ("look_alike" if name in LOOK_ALIKES else name)
    assert made.corners.shape == made.field.shape == (4, 3)
    every = np.concatenate([mesh.vertices for _, mesh, _ in made.pieces])
    assert every[:, :2].min(0) == pytest.approx(made.corners[:, :2].min(0), abs=0.01)
    assert every[:, :2].max(0) == pytest.approx(made.corners[:, :2].max(0), abs=0.01)
    x, y = made.corners[:, 0], made.corners[:, 1]
    assert x[0] < x[1] and x[3] < x[2] and y[0] > y[3] and y[1] > y[2]
    again = flat(name, seed)
    assert np.array_equal(again.corners, made.corners)


def test_unknown_reference_is_named() -> None:
    with pytest.raises(KeyError, match="known: grey_card, chart"):
        flat("mirror", 1)


def test_white_under_the_matrix_is_white() -> None:
    # What `camera` calls linear sRGB: a perfect white under D65 comes to 1, 1, 1.
    weights = hats(FINE).T @ (illuminant("D65")[:, None] * observer())
    white = weights.sum(axis=0) / weights[:, 1].sum()
    assert white @ XYZ_TO_SRGB.T == pytest.approx(1.0, abs=2e-3)
