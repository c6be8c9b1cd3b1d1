"""A model folder is used whole and untouched, or not at all."""

import io
import json
import shutil
import zipfile

import numpy as np
import pytest

from pipelines.seal import seal
from tipvision.condition.model import MOST_BYTES, default_model, load_model
from tipvision.sealed import ModelFault
from tipvision.shipped import models_folder


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(models_folder() / "condition", tmp_path / "condition")


def test_the_shipped_model_loads_and_is_sealed(folder):
    assert load_model(folder).name == default_model().name
    before = (folder / "manifest.json").read_bytes()
    seal(folder)
    assert (folder / "manifest.json").read_bytes() == before


@pytest.mark.parametrize("name", ["parameters.json", "arrays.npz"])
def test_a_changed_file_is_refused(folder, name):
    path = folder / name
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(bytes(content))
    with pytest.raises(ModelFault, match="changed"):
        load_model(folder)


@pytest.mark.parametrize("name", ["manifest.json", "parameters.json", "arrays.npz"])
def test_a_missing_file_is_refused(folder, name):
    (folder / name).unlink()
    with pytest.raises(ModelFault, match="incomplete"):
        load_model(folder)


@pytest.mark.parametrize(
    "change",
    [
        {"format": 99},
        {"coverage": "high"},
        {"sharpness": float("nan")},
        {"farthest": -1},
        {"labels": ["normal"]},
        {"features": ["lightness"]},
        {"least": {}},
        {"heat": {"temperature": 1.0}},
        {"heat": [1, 2]},
    ],
)
def test_a_sealed_forgery_that_is_no_model_is_refused(folder, change):
    path = folder / "parameters.json"
    path.write_text(json.dumps({**json.loads(path.read_text()), **change}))
    seal(folder)
    with pytest.raises(ModelFault, match="not one of format"):
        load_model(folder)


def with_arrays(folder, **change):
    with np.load(folder / "arrays.npz") as held:
        arrays = {**held, **change}
    np.savez(folder / "arrays.npz", **arrays)
    seal(folder)


@pytest.mark.parametrize(
    "change",
    [
        {"slopes": np.zeros(3)},
        {"offsets": np.array([np.nan] * 5)},
        {"knots": np.zeros((2, 5))},
        {"scales": np.zeros((2, 4))},
        {"shifts": np.array(["a", "b", "c", "d", "e"])},
        {"shifts": np.array([{"an": "object"}] * 5)},
    ],
)
def test_arrays_that_do_not_fit_are_refused(folder, change):
    with_arrays(folder, **change)
    with pytest.raises(ModelFault, match="not one of format"):
        load_model(folder)


def test_what_is_no_archive_or_a_bomb_is_refused(folder):
    (folder / "arrays.npz").write_bytes(b"no archive")
    seal(folder)
    with pytest.raises(ModelFault, match="not one of format"):
        load_model(folder)
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("knots.npy", b"\0" * (MOST_BYTES + 1))
    (folder / "arrays.npz").write_bytes(bomb.getvalue())
    seal(folder)
    with pytest.raises(ModelFault, match="too large"):
        load_model(folder)
