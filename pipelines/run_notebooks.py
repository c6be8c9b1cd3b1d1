"""Run every notebook of a folder from top to bottom.

`python -m pipelines.run_notebooks notebooks`
"""

import sys
import time
from collections.abc import Sequence
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from pipelines.parser import parser_of


def main(arguments: Sequence[str] | None = None) -> int:
    """Print a line a notebook; the first cell that fails stops the run with its traceback."""
    parser = parser_of("run_notebooks", __doc__)
    parser.add_argument("folder", type=Path)
    folder: Path = parser.parse_args(arguments).folder
    notebooks = sorted(folder.glob("*.ipynb"))
    if not notebooks:
        print(f"error: no notebook lies in {folder}", file=sys.stderr)
    for path in notebooks:
        start = time.perf_counter()
        notebook = nbformat.read(path, as_version=4)
        resources = {"metadata": {"path": str(folder)}}
        NotebookClient(notebook, timeout=240, resources=resources).execute()
        print(f"{path.name}: ran in {time.perf_counter() - start:.0f} s")
    return 0 if notebooks else 1


if __name__ == "__main__":
    sys.exit(main())
