"""Take a trained coat net into a model folder."""

import json
from pathlib import Path

from pipelines.seal import seal


def ship(trained: Path, to: Path, version: str) -> None:
    """Copy the net of `trained` to `to`, write the manifest with the runs' figures, seal it.

    Raises FileNotFoundError when `train` has not finished in that folder. The model card beside the
    file is written by hand.
    """
    figures = [json.loads(path.read_text("utf-8")) for path in sorted(trained.glob("told-*.json"))]
    net = (trained / "coat.onnx").read_bytes()
    to.mkdir(parents=True, exist_ok=True)
    (to / "coat.onnx").write_bytes(net)
    manifest = {
        "name": "coat",
        "version": version,
        "made_by": "python -m pipelines.coat train",
        "inputs": ["photos of the studio's look train"],
        "metrics": {"runs": figures},
        "files": {},
    }
    (to / "manifest.json").write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")
    seal(to)
