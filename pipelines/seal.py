"""Seal a model folder: write the digests of its files into its manifest.

`python -m pipelines.seal models/condition` after any change to the files of a model. What the
manifest says beside the digests (name, version, inputs, metrics) is written by whoever made it.
"""

import hashlib
import json
import sys
from pathlib import Path


def seal(folder: Path) -> None:
    """Bring `files` in `manifest.json` up to date with the folder's content."""
    path = folder / "manifest.json"
    manifest = json.loads(path.read_text("utf-8"))
    manifest["files"] = {
        file.name: hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.iterdir())
        if file.name not in {"manifest.json", "card.md"}
    }
    path.write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")


if __name__ == "__main__":
    seal(Path(sys.argv[1]))
