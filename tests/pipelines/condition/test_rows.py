"""Rows hold what the tool measures on a photo and what is known of its plug."""

import json
from pathlib import Path

import numpy as np
import pytest

from pipelines.condition.rows import (
    LEAST_PX,
    read_table,
    rows_of,
    table_of,
    write_table,
)
from pipelines.studio.truth import read_manifest
from pipelines.tip_net.listing import SetFault
from tipvision.condition.condition import CONDITIONS, FINDINGS
from tipvision.condition.features import NAMES

SAMPLE = Path(__file__).resolve().parents[3] / "synthetic_images" / "sample"
LARGE = [
    photo
    for photo in read_manifest(SAMPLE / "manifest.jsonl")
    if len(photo.plugs) == 1 and photo.plugs[0].nose_px >= 60 and photo.plugs[0].condition
][:6]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A small set cut from the shipped sample."""
    folder = tmp_path_factory.mktemp("set")
    (folder / "masks").mkdir()
    kept = {photo.file for photo in LARGE}
    lines = (SAMPLE / "manifest.jsonl").read_text().splitlines()
    lines = [line for line in lines if json.loads(line)["file"] in kept]
    (folder / "manifest.jsonl").write_text("\n".join(lines) + "\n")
    for photo in LARGE:
        stored = [photo.stored_light.file] if photo.stored_light else []
        for name in (photo.file, photo.mask, *stored):
            (folder / name).write_bytes((SAMPLE / name).read_bytes())
    return folder


@pytest.fixture(scope="module")
def table(folder):
    return table_of(rows_of([folder], workers=1, guesses=True))


def test_each_row_has_the_truth_of_its_plug(table):
    truths = {photo.file: photo for photo in LARGE}
    assert len(set(table.photo)) >= 4
    for k in range(len(table)):
        if table.number[k] < 0:
            continue
        plug = truths[table.photo[k]].plugs[table.number[k]]
        assert table.label[k] == plug.condition
        assert table.render[k] == truths[table.photo[k]].seed
        assert {FINDINGS[f] for f in np.flatnonzero(table.findings[k])} == set(plug.findings)
        assert table.nose_px[k] >= LEAST_PX
        np.testing.assert_allclose(table.nose_lab[k], plug.nose_lab, atol=1e-3)
    assert set(table.label[table.number >= 0]) <= set(CONDITIONS)


def test_a_known_light_has_a_guess_beside_it(table):
    known = table.own & (table.source != "estimate")
    assert known.any()
    assert (~table.own).sum() == known.sum()
    assert set(table.source[~table.own]) == {"estimate"}


def test_a_table_comes_back_from_its_file_as_it_was(table, tmp_path):
    path = tmp_path / "rows.npz"
    write_table(path, table)
    again = read_table([path, path])
    assert len(again) == 2 * len(table)
    for name, column in vars(table).items():
        np.testing.assert_array_equal(getattr(again, name)[: len(table)], column)
    assert table.values(8).shape == (len(table), 8, len(NAMES))


def test_rows_of_another_version_are_refused(table, tmp_path):
    path = tmp_path / "rows.npz"
    write_table(path, table)
    with np.load(path) as held:
        np.savez(path, **{**held, "once_names": held["once_names"][::-1]})
    with pytest.raises(ValueError, match="another version"):
        read_table([path])


def test_an_empty_folder_is_an_error(tmp_path):
    with pytest.raises(SetFault):
        list(rows_of([tmp_path], workers=1, guesses=False))
    with pytest.raises(ValueError, match="no nose"):
        table_of([])
