"""Taking trained files into the folder that ships: files, manifest, model card, digests."""

import json
import shutil
from pathlib import Path

from pipelines.seal import seal

NETS = ("coarse", "fine")


def ship(trained: Path, to: Path, version: str) -> None:
    """Copy the nets of `trained` to `to`, write the manifest with the run's figures, seal it.

    Raises FileNotFoundError when `train` has not finished in that folder. The model card beside the
    files is written by hand: what was measured comes from `evaluate`.
    """
    figures = {name: json.loads((trained / f"{name}.json").read_text("utf-8")) for name in NETS}
    to.mkdir(parents=True, exist_ok=True)
    for name in NETS:
        shutil.copyfile(trained / f"{name}.onnx", to / f"{name}.onnx")
    manifest = {
        "name": "tip",
        "version": version,
        "made_by": "python -m pipelines.tip_net train",
        "inputs": ["photos of the studio's look train, chosen on its look tune"],
        "metrics": figures,
        "files": {},
    }
    (to / "manifest.json").write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")
    seal(to)
