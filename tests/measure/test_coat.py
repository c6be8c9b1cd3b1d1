"""The coat nets: sealed, the same in OpenCV and onnxruntime; their odds say what they should."""

import shutil
from pathlib import Path

import numpy as np
import pytest

from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.condition.condition import FINDINGS, LABELS
from tipvision.light.correction import Correction
from tipvision.light.light import Light
from tipvision.measure.coat import (
    COAT_SIGNS,
    COATS,
    FILES,
    MARKS,
    MOST,
    TOLD,
    coat_signs,
    default_coat_nets,
    load_coat_nets,
    signs_of,
)
from tipvision.measure.coat_view import CHANNELS, COAT_PX
from tipvision.photo.photo import Window
from tipvision.sealed import ModelFault
from tipvision.shipped import models_folder
from tipvision.tip.tip import Part


def views(count: int) -> np.ndarray:
    return np.random.default_rng(3).random((count, CHANNELS, COAT_PX, COAT_PX), np.float32)


def test_its_names_are_those_of_the_record() -> None:
    assert COATS == LABELS
    assert MARKS == FINDINGS
    assert len(COAT_SIGNS) == len(set(COAT_SIGNS)) == TOLD


def test_odds_of_the_coats_are_those_of_shares_that_sum_to_one() -> None:
    told = np.zeros((2, TOLD), np.float32)
    told[0, :6] = (2, 1, 0, -1, -2, 0)
    told[1, 0] = 60
    signs = signs_of(told)
    shares = np.exp(told[0, :6]) / np.exp(told[0, :6]).sum()
    assert 1 / (1 + np.exp(-signs[0, :6])) == pytest.approx(shares, abs=1e-6)
    assert signs[1, 0] == MOST
    assert (signs[1, 1:6] == -MOST).all()
    assert (signs[:, 6:] == 0).all()


def test_opencv_answers_as_onnxruntime_does() -> None:
    # reference library: onnxruntime
    runtime = pytest.importorskip("onnxruntime")
    seen, told = views(3), []
    for file in FILES:
        session = runtime.InferenceSession(str(models_folder() / "coat" / file))
        told.append([session.run(None, {"view": view[None]})[0][0] for view in seen])
    assert np.abs(np.subtract(*told)).max() > 0.1  # two nets, not one twice
    np.testing.assert_allclose(default_coat_nets().told(seen), np.mean(told, axis=0), atol=1e-4)


def test_it_looks_at_one_nose_as_at_another() -> None:
    first, second = views(3)[:2], views(3)[2:]
    net = default_coat_nets()
    before = net.told(first).copy()
    net.told(second)
    assert (net.told(first) == before).all()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(models_folder() / "coat", tmp_path / "coat"))


@pytest.mark.parametrize("file", FILES)
def test_a_changed_file_is_refused(folder: Path, file: str) -> None:
    path = folder / file
    path.write_bytes(path.read_bytes()[:-1] + b"\0")
    with pytest.raises(ModelFault, match="was changed"):
        load_coat_nets(folder)


@pytest.mark.parametrize("file", FILES)
def test_another_net_is_refused(folder: Path, file: str) -> None:
    from pipelines.seal import seal

    shutil.copyfile(models_folder() / "tip" / "fine.onnx", folder / file)
    seal(folder)
    with pytest.raises(ModelFault, match="not ones that this tipvision runs"):
        load_coat_nets(folder).told(views(1))


@pytest.mark.parametrize("file", FILES)
def test_a_missing_file_is_told(folder: Path, file: str) -> None:
    (folder / file).unlink()
    with pytest.raises(ModelFault, match="incomplete"):
        load_coat_nets(folder)


def test_a_nose_without_its_parts_is_not_judged() -> None:
    window = Window(np.full((60, 60, 3), 0.3, np.float32), np.zeros((60, 60), bool))
    light = Light("x", Correction(RGB_TO_XYZ), Correction(np.repeat(RGB_TO_XYZ[None], 4, axis=0)))
    labels = np.zeros((60, 60), np.uint8)
    labels[20:40, 20:40] = Part.NOSE
    assert coat_signs(window, labels, light, default_coat_nets()) == {}
    labels[10:20, 20:40] = Part.SHELL
    assert set(coat_signs(window, labels, light, default_coat_nets())) == set(COAT_SIGNS)
