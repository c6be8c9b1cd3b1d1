"""`python -m pipelines.bands [--out FILE]`: writes bands.toml and prints each band's colour.

Nothing in it is random; the same chips and the same colour-science give the same file.
"""

import argparse
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

from pipelines.bands.make import CHIPS, bands_text

_SHIPPED = Path(__file__).parents[2] / "tipvision" / "measure" / "bands.toml"


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m pipelines.bands", description=__doc__)
    parser.add_argument("--out", type=Path, default=_SHIPPED, help="file to write (%(default)s)")
    out: Path = parser.parse_args(arguments).out
    text = bands_text()
    out.write_text(text, "utf-8")
    print(f"{out}: from {CHIPS.name}, colour-science {version('colour-science')}", file=sys.stderr)
    for name, band in tomllib.loads(text).items():
        if isinstance(band, dict):
            print(f"{name:12} mean {band['mean']}  sd {band['sd']}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
