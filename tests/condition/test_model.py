"""A model folder is used whole and untouched, or not at all."""

import json
import shutil

import pytest

from pipelines.seal import seal
from tipvision.condition.model import default_model, load_model
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


def test_a_changed_file_is_refused(folder):
    path = folder / "parameters.json"
    path.write_bytes(path.read_bytes().replace(b"0.95", b"0.05"))
    with pytest.raises(ModelFault, match="changed"):
        load_model(folder)


@pytest.mark.parametrize("name", ["manifest.json", "parameters.json"])
def test_a_missing_file_is_refused(folder, name):
    (folder / name).unlink()
    with pytest.raises(ModelFault, match="incomplete"):
        load_model(folder)


@pytest.mark.parametrize(
    "change",
    [
        {"format": 99},
        {"coverage": "high"},
        {"slip": float("nan")},
        {"profiles": {}},
        {"profiles": {"normal": {"lab": [1, 2], "sd": [1, 1], "surface": {}}}},
        {"name": None, "profiles": [1, 2]},
    ],
)
def test_a_sealed_forgery_that_is_no_model_is_refused(folder, change):
    path = folder / "parameters.json"
    path.write_text(json.dumps({**json.loads(path.read_text()), **change}))
    seal(folder)
    with pytest.raises(ModelFault, match="not one of format"):
        load_model(folder)
