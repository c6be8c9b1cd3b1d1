"""A short run learns, stops, goes on where it stopped, and hands over files that OpenCV runs."""

import json

import cv2
import numpy as np
import pytest

torch = pytest.importorskip("torch")

from pipelines.side_by_side import RunFailed  # noqa: E402
from pipelines.tip_net import checkpoint  # noqa: E402
from pipelines.tip_net.export import export  # noqa: E402
from pipelines.tip_net.net import Coarse, Fine, parameters  # noqa: E402
from pipelines.tip_net.onward import begin_with  # noqa: E402
from pipelines.tip_net.ship import ship  # noqa: E402
from pipelines.tip_net.train import train, train_all  # noqa: E402
from tests.pipelines.tip_net.made_set import write_set  # noqa: E402
from tipvision.tip.net import load_net  # noqa: E402

MOST_BYTES = 5_000_000  # both files together


@pytest.fixture(scope="module")
def nets():
    """Random nets whose running means are not those of a new one, so that folding them shows."""
    torch.manual_seed(0)
    found = Coarse(), Fine()
    for net in found:
        for layer in net.modules():
            if isinstance(layer, torch.nn.BatchNorm2d):
                layer.running_mean.normal_(0, 0.2)
                layer.running_var.uniform_(0.5, 2.0)
                layer.weight.data.uniform_(0.5, 1.5)
    return found


@pytest.fixture(scope="module")
def exported(nets, tmp_path_factory):
    folder = tmp_path_factory.mktemp("net")
    return [export(name, net, folder) for name, net in zip(("coarse", "fine"), nets, strict=True)]


def views(count: int = 3):
    return np.random.default_rng(0).uniform(-1, 1, (count, 1, 3, 192, 192)).astype(np.float32)


@pytest.mark.parametrize(("which", "names"), [(0, ("maps", "plug")), (1, ("parts", "told"))])
def test_opencv_agrees_with_torch_and_with_the_reference_runtime(nets, exported, which, names):
    net = cv2.dnn.readNetFromONNX(str(exported[which]))
    oracle = None
    try:
        import onnxruntime

        oracle = onnxruntime.InferenceSession(str(exported[which]))
    except ImportError:
        pass
    for view in views():
        net.setInput(view)
        ours = net.forward(names)
        with torch.no_grad():
            torchs = nets[which].eval()(torch.from_numpy(view))
        for mine, other in zip(ours, torchs, strict=True):
            assert np.abs(mine - other.numpy()).max() < 1e-4
        if oracle is not None:
            for mine, other in zip(ours, oracle.run(list(names), {"picture": view}), strict=True):
                assert np.abs(mine - other).max() < 1e-5


def test_the_files_are_small(nets, exported):
    assert sum(path.stat().st_size for path in exported) < MOST_BYTES
    assert sum(parameters(net) for net in nets) * 4 < MOST_BYTES


def test_a_checkpoint_gives_back_what_it_was_given(tmp_path):
    groups = {"a": {"w.0": torch.rand(3, 2), "n": torch.tensor(7)}, "b": {"w": torch.rand(1)}}
    checkpoint.write(tmp_path / "x.npz", groups, {"step": 3})
    again, told = checkpoint.read(tmp_path / "x.npz")
    assert told == {"step": 3}
    assert again.keys() == groups.keys()
    for group, tensors in groups.items():
        assert all(torch.equal(again[group][name], value) for name, value in tensors.items())


@pytest.mark.parametrize(("name", "figure"), [("coarse", "first"), ("fine", "iou_24_px")])
def test_a_run_goes_on_where_it_stopped(tmp_path, name, figure):
    photos = write_set(tmp_path / "set", count=4, bare=2)
    out = tmp_path / "out"
    first = train(name, [photos], [photos], out, seconds=1, batch=2)
    second = train(name, [photos], [photos], out, seconds=2, batch=2)
    assert second["steps"] > first["steps"] > 0
    assert json.loads((out / f"{name}.json").read_text()) == second
    third = train(name, [photos], [photos], out, seconds=2, batch=2)
    assert third["steps"] == second["steps"]  # the time is spent
    assert 0 <= third["tune"][figure] <= 1


def test_both_nets_train_at_once_and_ship(tmp_path):
    photos = write_set(tmp_path / "set", count=4, bare=2)
    out = tmp_path / "out"
    train_all([photos], [photos], out, seconds=1, batch=2)
    ship(out, tmp_path / "models" / "tip", "1")
    net = load_net(tmp_path / "models" / "tip")
    assert net.version == "1"
    assert 0 <= net.fine(np.full((192, 192, 3), 90, np.uint8)).here <= 1
    manifest = json.loads((tmp_path / "models" / "tip" / "manifest.json").read_text())
    assert manifest["metrics"]["fine"]["steps"] > 0
    with pytest.raises(RunFailed, match="coarse and fine"):
        train_all([tmp_path / "nothing"], [photos], out, seconds=1, batch=2)


def test_a_run_begins_with_the_files_of_another(tmp_path):
    photos = write_set(tmp_path / "set", count=4, bare=2)
    train("fine", [photos], [photos], tmp_path / "first", seconds=1, batch=2)
    told = train("fine", [photos], [photos], tmp_path / "next", 0, 2, tmp_path / "first")
    assert told["steps"] == 0 and told["onward"]


@pytest.mark.parametrize("name", ["coarse", "fine"])
def test_a_net_with_the_weights_of_a_file_answers_as_it(name, tmp_path):
    torch.manual_seed(3)
    kind = {"coarse": Coarse, "fine": Fine}[name]
    views = torch.rand(6, 3, 192, 192) * 2 - 1
    first = kind()
    first.train()(views)  # normalisations that are not those of a new net
    file = export(name, first, tmp_path)
    net = kind()
    layers = [m for m in net.modules() if isinstance(m, torch.nn.Conv2d | torch.nn.Linear)]
    assert begin_with(net, file, views) == len(layers)
    with torch.no_grad():
        for one, other in zip(first.eval()(views), net.eval()(views), strict=True):
            assert torch.allclose(one, other, rtol=0.02, atol=0.02 * float(one.abs().max()))
