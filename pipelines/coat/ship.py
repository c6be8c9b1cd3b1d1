"""Take a trained coat net into a model folder, beside the newer of the two that are there."""

import hashlib
import json
from pathlib import Path
from typing import Any

from pipelines.seal import seal
from tipvision.measure.coat import FILES

OLDER, NEWER = FILES


def ship(trained: Path, to: Path, version: str) -> None:
    """The newer net of `to` becomes the older one, the net of `trained` the newer; each keeps its
    runs' figures in the manifest, which is sealed.

    Raises FileNotFoundError when `train` has not finished in that folder or `to` holds no nets, and
    ValueError when this net is the newer one there already. What was broken off in the middle the
    same call ends. The model card beside the files is written by hand.
    """
    figures = [json.loads(path.read_text("utf-8")) for path in sorted(trained.glob("told-*.json"))]
    net, before = (trained / "coat.onnx").read_bytes(), (to / NEWER).read_bytes()
    held: dict[str, Any] = json.loads((to / "manifest.json").read_text("utf-8"))
    if hashlib.sha256(net).hexdigest() == held["files"][NEWER]:
        raise ValueError(f"{to} holds this net already.")
    if net != before:
        (to / OLDER).write_bytes(before)
        (to / NEWER).write_bytes(net)
    metrics = {OLDER: held["metrics"][NEWER], NEWER: {"runs": figures}}
    manifest = held | {"version": version, "metrics": metrics}
    (to / "manifest.json").write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")
    seal(to)
