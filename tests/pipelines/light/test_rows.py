"""Rows of labelled photos: the true nose, under the light that was measured and under a guess."""

import json
from pathlib import Path

import numpy as np
import pytest

from pipelines.light.__main__ import main, write_model
from pipelines.light.rows import rows_of
from pipelines.studio.truth import read_manifest
from tipvision.colour.lab import lab_to_xyz
from tipvision.light.at_the_nose import default_nose_light, load_nose_light

SAMPLE = Path(__file__).resolve().parents[3] / "synthetic_images" / "sample"
WITH_STORED_LIGHT = [
    photo.file
    for photo in read_manifest(SAMPLE / "manifest.jsonl")
    if photo.stored_light and photo.plug and photo.plug.nose_lab and photo.plug.nose_px >= 90
][:4]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A small set cut from the shipped sample."""
    folder = tmp_path_factory.mktemp("set")
    (folder / "masks").mkdir()
    lines = []
    for line in (SAMPLE / "manifest.jsonl").read_text().splitlines():
        row = json.loads(line)
        if row["file"] in WITH_STORED_LIGHT:
            lines.append(line)
            for name in (row["file"], row["mask"], row["stored_light"]["file"]):
                (folder / name).write_bytes((SAMPLE / name).read_bytes())
    (folder / "manifest.jsonl").write_text("\n".join(lines) + "\n")
    return folder


def test_each_nose_stands_under_both_lights(folder) -> None:
    rows = list(rows_of(folder))
    truths = {truth.file: truth for truth in read_manifest(folder / "manifest.jsonl")}
    for name in WITH_STORED_LIGHT:
        pair = [row for row in rows if row.file == name]
        assert [row.source for row in pair] == ["estimate", "stored:lamp"]
        assert [row.measured for row in pair] == [False, True]
        true = np.log(lab_to_xyz(truths[name].plug.nose_lab)[1])
        for row in pair:
            assert np.isfinite(row.ln_samples).all() and row.ln_samples.shape == (64, 3)
            assert row.view == truths[name].plug.view
            assert abs(row.miss) < 4
            seen = true - row.miss
            assert seen < 0.1  # no nose was measured lighter than white by far


def test_too_small_a_set_is_told_in_one_line(folder, capsys) -> None:
    assert main(["fit", "--photos", str(folder)]) == 1
    assert "too few" in capsys.readouterr().err


def test_a_fit_is_written_into_a_new_folder_and_read_back(folder, tmp_path) -> None:
    shipped = default_nose_light()
    fits = {"measured": dict(shipped.measured), "metered": dict(shipped.metered)}
    write_model(tmp_path / "models" / "nose_light", folder, 8, fits)
    again = load_nose_light(tmp_path / "models" / "nose_light")
    assert (again.measured, again.metered) == (fits["measured"], fits["metered"])


def test_a_missing_set_is_told(tmp_path, capsys) -> None:
    assert main(["fit", "--photos", str(tmp_path / "none")]) == 1
    assert capsys.readouterr().err.startswith("error: ")


def test_what_ships_is_a_model_of_this_format() -> None:
    from tipvision.shipped import models_folder

    manifest = json.loads((models_folder() / "nose_light" / "manifest.json").read_text())
    assert manifest["made_by"].startswith("python -m pipelines.light fit")
    assert load_nose_light(models_folder() / "nose_light").version == manifest["version"]
