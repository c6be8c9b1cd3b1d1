"""The tip net's files are used whole and untouched, or not at all."""

from pathlib import Path

import numpy as np
import pytest

from pipelines.seal import seal
from tests.tip.red_net import SIZE, WIDTH, write_red_net
from tipvision.sealed import ModelFault
from tipvision.tip.net import load_net


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_red_net(tmp_path / "tip")


def spot(x: int, y: int, half: int = 16) -> np.ndarray:
    view = np.full((192, 192, 3), 40, np.uint8)
    view[y - half : y + half, x - half : x + half] = 255, 0, 0
    return view


def test_a_sealed_net_loads_and_answers_in_probabilities(folder: Path) -> None:
    net = load_net(folder)
    assert (net.name, net.version) == ("red", "0")
    seen = net.coarse(spot(58, 118, 10))
    assert np.unravel_index(seen.middle.argmax(), seen.middle.shape) == (
        29,
        14,
    )  # cells of 4 pixels
    assert 0.99 < seen.middle.max() <= 1
    assert seen.plug == pytest.approx(float(seen.middle.max()))
    assert seen.size == pytest.approx(np.full((48, 48), SIZE), rel=1e-5)


def test_the_fine_net_tells_of_the_crop(folder: Path) -> None:
    seen = load_net(folder).fine(spot(96, 96))
    assert seen.quality == pytest.approx(1 / (1 + np.exp(-3)), rel=1e-5)
    assert seen.width == pytest.approx(WIDTH, rel=1e-5)
    assert seen.views.sum() == pytest.approx(1)
    assert seen.views.argmax() == 1
    nose = seen.parts.argmax(axis=2) == 1
    assert nose[80:112, 80:112].all()
    assert nose.sum() == 32 * 32


def test_it_looks_at_one_crop_as_at_another(folder: Path) -> None:
    net = load_net(folder)
    first = net.fine(spot(96, 96)).parts
    net.fine(spot(50, 50))
    assert (net.fine(spot(96, 96)).parts == first).all()


@pytest.mark.parametrize("name", ["coarse.onnx", "fine.onnx"])
def test_a_changed_file_is_refused(folder: Path, name: str) -> None:
    path = folder / name
    path.write_bytes(path.read_bytes() + b"\0")
    with pytest.raises(ModelFault, match=f"{name} was changed"):
        load_net(folder)


@pytest.mark.parametrize("name", ["manifest.json", "coarse.onnx", "fine.onnx"])
def test_a_missing_file_is_refused(folder: Path, name: str) -> None:
    (folder / name).unlink()
    with pytest.raises(ModelFault, match="incomplete"):
        load_net(folder)


@pytest.mark.parametrize("content", [b"", b"not a net", None])
def test_a_sealed_forgery_that_is_no_such_net_is_refused(
    folder: Path, content: bytes | None
) -> None:
    wrong = (folder / "coarse.onnx").read_bytes() if content is None else content
    (folder / "fine.onnx").write_bytes(wrong)
    seal(folder)
    with pytest.raises(ModelFault, match="not one that this tipvision runs"):
        load_net(folder).fine(spot(96, 96))


@pytest.mark.parametrize("manifest", ["", "[]", "{}", '{"files": {}}', '{"files": 3, "name": "a"}'])
def test_a_manifest_that_lacks_the_digests_is_refused(folder: Path, manifest: str) -> None:
    (folder / "manifest.json").write_text(manifest)
    with pytest.raises(ModelFault, match="incomplete"):
        load_net(folder)
