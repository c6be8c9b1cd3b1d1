"""What the nets tell is counted as it is, each alone and both together."""

from pathlib import Path

import numpy as np

from pipelines.coat import alone
from pipelines.coat.crops import crop_of, read_crops, write_crops
from pipelines.coat.look import looked_at
from pipelines.condition.rows import noses_of
from pipelines.tip_net.listing import listed
from tests.pipelines.condition.made import made_table
from tipvision.condition.condition import CONDITIONS
from tipvision.measure.coat import default_coat_nets

SAMPLE = Path(__file__).parents[3] / "synthetic_images" / "sample"


def test_rates_and_losses_are_those_of_the_rows_that_would_be_answered(tmp_path) -> None:
    cuts = [crop_of(n) for entry in listed([SAMPLE])[:6] for n in noses_of(entry, guesses=False)]
    write_crops(tmp_path / "crops.npz", [cut for cut in cuts if cut is not None][:5])
    crops, nets = read_crops([tmp_path / "crops.npz"]), default_coat_nets()
    table = made_table(5, photos=1)
    table.gated[1] = "blurred"  # would not be answered
    table.label[2] = "none"  # has no condition
    told = list(alone.lines(table, crops, nets))
    assert [line.partition(":")[0] for line in told[::2]] == ["older.onnx", "newer.onnx", "both"]
    own = [k for k in range(5) if table.gated[k] == "" and table.label[k] != "none"]
    numbers = looked_at(crops, nets)[own][:, : len(CONDITIONS)].astype(np.float64)
    chances = np.exp(numbers) / np.exp(numbers).sum(axis=1, keepdims=True)
    truth = [CONDITIONS.index(table.label[k]) for k in own]
    right = int((chances.argmax(axis=1) == truth).sum())
    assert f"both: likeliest condition right: {right} of {len(own)}" in told[4]
    loss = -np.log(chances[np.arange(len(own)), truth]).mean()
    assert told[5] == f"both: mean -ln of what the truth got: {loss:.3f}"
