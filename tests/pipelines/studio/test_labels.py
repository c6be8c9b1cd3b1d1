"""Labels: part and plug in one value, majorities, boxes, and the nose's truth where it shows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from pipelines.studio.labels import box_of, label_of, majority, nose_truth, renumbered, shows_nose
from pipelines.studio.materials.spectra import lab, matter
from pipelines.studio.materials.surface import Layer, Surface
from pipelines.studio.truth import MASK_LABELS, MOST_PLUGS, PLUG_STEP


def test_labels_tell_part_and_plug() -> None:
    assert [label_of(n) for n in ("nose", "nose__2", "strap__4", "upper")] == [1, 9, 29, 7]
    assert [label_of(n) for n in ("finger_0", "card", "loose0_nut", "socket__2")] == [0] * 4
    assert MASK_LABELS[label_of("terminal__3") % PLUG_STEP] == "upper insulator and terminal"


def _slow(labels: np.ndarray, k: int) -> np.ndarray:
    out = np.zeros((labels.shape[0] // k, labels.shape[1] // k), np.uint8)
    for (i, j), _ in np.ndenumerate(out):
        block = labels[i * k : i * k + k, j * k : j * k + k]
        out[i, j] = np.bincount(block.ravel()).argmax()
    return out


@given(hnp.arrays(np.uint8, (9, 12), elements=st.sampled_from([0, 1, 3, 9, 30])))
def test_majority_is_the_commonest_and_ties_go_to_the_smaller(labels: np.ndarray) -> None:
    assert np.array_equal(majority(labels, 3), _slow(labels, 3))


def test_boxes_leave_out_insulator_and_other_plugs() -> None:
    mask = np.zeros((20, 30), np.uint8)
    mask[2:5, 3:9] = 6
    mask[5:8, 3:4] = 1
    mask[8:19, 0:9] = 7
    mask[4:9, 20:29] = PLUG_STEP + 5
    assert box_of(mask, 0) == (3, 2, 6, 6)
    assert box_of(mask, 1) == (20, 4, 9, 5)
    assert box_of(mask, 2) is None


def test_noses_are_seen_by_their_plug_in_glare_too_but_not_deep_in_the_bore() -> None:
    for value, seen in ((1, True), (2, True), (3, False), (4, False), (PLUG_STEP + 1, False)):
        assert shows_nose(np.array([[0, value]], np.uint8), 0) is seen
    assert shows_nose(np.array([[PLUG_STEP + 2]], np.uint8), 1)


@given(
    hnp.arrays(np.uint8, (4, 5), elements=st.integers(0, 31)), st.permutations(range(MOST_PLUGS))
)
def test_renumbering_moves_plugs_and_keeps_parts(mask: np.ndarray, order: list[int]) -> None:
    got = renumbered(mask, order)
    for new, old in enumerate(order):
        for part in range(1, PLUG_STEP):
            assert np.array_equal(got == new * 8 + part, mask == old * 8 + part)


def test_the_noses_truth_is_that_of_its_surface_where_it_shows() -> None:
    left = np.array([[1.0, 0.0], [1.0, 0.0]])
    surface = Surface((Layer(matter("ceramic")), Layer(matter("soot"), left)))
    at = np.array([[0.25, 0.5]])
    (dark, _, _), shine = _measured(surface, at)
    assert dark == pytest.approx(float(lab(matter("soot").reflectance)[0]), abs=0.01)
    assert shine == 0.0
    white, _ = _measured(surface, np.array([[0.75, 0.5]]))
    assert white[0] == pytest.approx(float(lab(matter("ceramic").reflectance)[0]), abs=0.01)
    assert nose_truth(surface, np.zeros((0, 2))) == (None, None)


def _measured(surface: Surface, uv: np.ndarray) -> tuple[tuple[float, float, float], float]:
    colour, shine = nose_truth(surface, uv)
    assert colour is not None and shine is not None
    return colour, shine
