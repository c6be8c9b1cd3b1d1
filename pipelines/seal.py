"""Seal a model folder: write the digests of its files into its manifest.

`python -m pipelines.seal models/condition` after any change to the files of a model. What the
manifest says beside the digests (name, version, inputs, metrics) is written by whoever made it.
"""

from collections.abc import Sequence
from pathlib import Path

from pipelines.parser import parser_of
from tipvision.teaching.writing import seal


def main(arguments: Sequence[str] | None = None) -> None:
    """Seal the folder that is named; what fails is said in one line."""
    parser = parser_of("seal", __doc__)
    parser.add_argument("folder", type=Path, help="of a model")
    folder: Path = parser.parse_args(arguments).folder
    try:
        seal(folder)
    except (OSError, ValueError) as error:
        raise SystemExit(f"{folder} cannot be sealed: {error}") from error


if __name__ == "__main__":
    main()
