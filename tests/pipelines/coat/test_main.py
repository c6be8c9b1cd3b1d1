"""The whole way, by its commands: noses, nets, what they tell, a condition fitted on that."""

import shutil
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("torch")
pytest.importorskip("onnx")

from pipelines.coat.__main__ import main
from pipelines.coat.crops import crop_of, read_crops, write_crops
from pipelines.coat.look import looked_at
from pipelines.coat.parts import ALL, part_of
from pipelines.coat.tell import newer
from pipelines.condition.__main__ import main as condition
from pipelines.condition.rows import noses_of, read_table, write_table
from pipelines.tip_net.listing import listed
from tests.pipelines.condition.made import made_table
from tipvision.condition.features import ONCE
from tipvision.condition.model import load_model
from tipvision.measure.coat import COAT_SIGNS, TOLD, load_coat_nets, signs_of
from tipvision.measure.coat_view import CHANNELS, COAT_PX

ROOT = Path(__file__).parents[3]
FINE, COAT = ROOT / "models" / "tip" / "fine.onnx", ROOT / "models" / "coat"
PLUGS = 30


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Rows by plain rules, each with the crop of some nose of the sample."""
    folder = tmp_path_factory.mktemp("coat")
    entries = listed([ROOT / "synthetic_images" / "sample"])[:8]
    crops = [crop_of(nose) for entry in entries for nose in noses_of(entry, guesses=False)]
    assert crops
    write_table(folder / "train.rows.npz", made_table(PLUGS, photos=1))
    write_crops(folder / "train.crops.npz", [crops[k % len(crops)] for k in range(PLUGS)])
    return folder


def test_from_crops_to_a_condition_model(made, capsys) -> None:
    rows = ["--rows", str(made / "train.rows.npz")]
    crops = ["--crops", str(made / "train.crops.npz"), "--onward", str(FINE)]
    run = ["--seconds", "0.01", "--batch", "4", "--out", str(made / "runs")]
    for part in range(ALL + 1):
        main(["train", *rows, *crops, *run, "--part", str(part)])

    cut = crops[:2]
    model = ["--model", str(made / "coat")]
    shutil.copytree(COAT, made / "coat")
    out = ["--trained", str(made / "runs"), "--out", str(made / "train.npz")]
    main(["tell", *rows, *cut, *model, *out])
    table = read_table([made / "train.npz"])
    told = table.once[:, [ONCE.index(name) for name in COAT_SIGNS]]
    parts, beside = (
        part_of(table),
        looked_at(read_crops([made / "train.crops.npz"]), newer(COAT, made / "runs")),
    )
    for part in range(ALL):
        with np.load(made / "runs" / f"told-{part}.npz") as held:
            np.testing.assert_array_equal(held["rows"], np.flatnonzero(parts == part))
            both = (held["told"] + beside[parts == part]) / 2
            np.testing.assert_allclose(told[parts == part], signs_of(both), rtol=1e-5)

    ship = ["ship", str(made / "runs"), "--to", str(made / "coat"), "--version", "7"]
    main(ship)
    assert (made / "coat" / "older.onnx").read_bytes() == (COAT / "newer.onnx").read_bytes()
    nets = load_coat_nets(made / "coat")
    assert nets.version == "7"
    assert nets.told(np.full((1, CHANNELS, COAT_PX, COAT_PX), 0.5, np.float32)).shape == (1, TOLD)
    with pytest.raises(SystemExit, match="holds this net already"):
        main(ship)
    shutil.copyfile(COAT / "manifest.json", made / "coat" / "manifest.json")  # broken off before it
    main(ship)
    assert load_coat_nets(made / "coat").version == "7"
    assert (made / "coat" / "older.onnx").read_bytes() == (COAT / "newer.onnx").read_bytes()

    main(["alone", *rows, *cut, *model])
    said = capsys.readouterr().out
    assert "older.onnx: likeliest condition right" in said
    assert "both: mean -ln" in said

    fit = ["--rows", str(made / "train.npz"), "--tune", str(made / "train.npz")]
    assert condition(["fit", *fit, "--out", str(made / "condition")]) == 0
    assert load_model(made / "condition").labels


def test_rows_and_crops_of_different_runs_are_told_in_one_line(made, tmp_path) -> None:
    write_table(tmp_path / "rows.npz", made_table(PLUGS + 5, photos=1))
    job = ["--rows", str(tmp_path / "rows.npz"), "--crops", str(made / "train.crops.npz")]
    with pytest.raises(SystemExit, match="35 rows and 30 crops"):
        main(["train", *job, "--seconds", "1", "--out", str(tmp_path), "--part", "0"])
