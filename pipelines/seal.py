"""Seal a model folder: write the digests of its files into its manifest.

`python -m pipelines.seal models/condition` after any change to the files of a model. What the
manifest says beside the digests (name, version, inputs, metrics) is written by whoever made it.
"""

import sys
from pathlib import Path

from tipvision.teaching.writing import seal

if __name__ == "__main__":
    seal(Path(sys.argv[1]))
