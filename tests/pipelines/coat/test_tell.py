"""Rows are told by the nets that had not seen them, or not at all."""

from pathlib import Path

import numpy as np
import pytest

from pipelines.coat.crops import crop_of, read_crops, write_crops
from pipelines.coat.look import looked_at
from pipelines.coat.tell import newer, tell
from pipelines.condition.rows import Table, noses_of, read_table, write_table
from pipelines.tip_net.listing import listed
from tipvision.condition.condition import FINDINGS, LABELS
from tipvision.condition.features import ONCE, UNDER_LIGHT
from tipvision.measure.coat import COAT_SIGNS, TOLD, default_coat_nets, signs_of
from tipvision.shipped import models_folder

ROWS = 10


@pytest.fixture
def rows(tmp_path):
    text, whole, real = np.array(["x"] * ROWS), np.arange(ROWS), np.ones(ROWS, np.float32)
    table = Table(
        **dict.fromkeys(("photo", "label", "view", "source", "gated"), text),
        **dict.fromkeys(("render", "number"), whole),
        shares=np.ones((ROWS, len(LABELS)), np.float32),
        findings=np.zeros((ROWS, len(FINDINGS)), bool),
        nose_lab=np.ones((ROWS, 3), np.float32),
        nose_px=real,
        own=real > 0,
        under_light=np.ones((ROWS, 4, len(UNDER_LIGHT)), np.float32),
        once=np.full((ROWS, len(ONCE)), 7, np.float32),
    )
    write_table(tmp_path / "rows.npz", table)
    return tmp_path / "rows.npz"


def trained(folder, rows: int):
    told = np.random.default_rng(2).normal(size=(rows, TOLD)).astype(np.float32)
    for part in range(5):
        held = np.arange(part, rows, 5)
        np.savez(folder / f"told-{part}.npz", rows=held, told=told[held])
    return told


@pytest.fixture(scope="module")
def crops(tmp_path_factory):
    path = tmp_path_factory.mktemp("cut") / "crops.npz"
    entries = listed([Path(__file__).parents[3] / "synthetic_images" / "sample"])[:3]
    cuts = [crop_of(nose) for entry in entries for nose in noses_of(entry, guesses=False)]
    write_crops(path, [cuts[k % len(cuts)] for k in range(ROWS)])
    return path


def test_each_row_gets_its_held_out_answer_and_that_of_the_net_beside(
    rows, crops, tmp_path
) -> None:
    told = trained(tmp_path, ROWS)
    (tmp_path / "coat.onnx").write_bytes(b"another net")
    beside = newer(models_folder() / "coat", tmp_path)
    assert len(beside.nets) == 1
    assert tell([rows], [crops], tmp_path, beside, tmp_path / "told.npz") == ROWS
    once = read_table([tmp_path / "told.npz"]).once
    columns = [ONCE.index(name) for name in COAT_SIGNS]
    mean = (told + looked_at(read_crops([crops]), beside)) / 2
    np.testing.assert_allclose(once[:, columns], signs_of(mean), rtol=1e-5)
    others = np.setdiff1d(np.arange(len(ONCE)), columns)
    assert (once[:, others] == 7).all()


def test_a_net_that_learnt_from_the_rows_does_not_look_beside_itself(tmp_path) -> None:
    shipped = models_folder() / "coat"
    (tmp_path / "coat.onnx").write_bytes((shipped / "newer.onnx").read_bytes())
    with pytest.raises(ValueError, match="tell before you ship"):
        newer(shipped, tmp_path)


@pytest.mark.parametrize("count", [ROWS - 5, ROWS + 5])
def test_runs_on_other_rows_are_refused(rows, crops, tmp_path, count) -> None:
    trained(tmp_path, count)
    with pytest.raises(ValueError, match="rows than these 10"):
        tell([rows], [crops], tmp_path, default_coat_nets(), tmp_path / "told.npz")
