"""The options of `tipvision batch` that no other command has."""

import argparse

from tipvision.command.later import later

LONGEST_S = 60.0


def add_batch_options(batch: argparse.ArgumentParser) -> None:
    """What to read, where to, with how many hands."""
    batch.add_argument(
        "sources",
        nargs="*",
        metavar="SOURCE",
        help="a folder (with all below it), a glob, a photo, or a URL of one, such as s3://...",
    )
    batch.add_argument(
        "--list",
        dest="lists",
        metavar="FILE",
        action="append",
        default=[],
        help='read the photos that a file names, one a line; "-" is standard input',
    )
    batch.add_argument(
        "--out",
        metavar="FOLDER",
        help="where the batch lies (beside the one folder, with -readings to its name; else "
        "tipvision-batch); given again, the run goes on with what is not yet read",
    )
    batch.add_argument(
        "--workers", metavar="N", help="photos that are read at the same time (one a core)"
    )
    batch.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="read by the workers of the Dask scheduler there, such as tcp://10.0.0.5:8786",
    )
    batch.add_argument(
        "--longest",
        metavar="SECONDS",
        default=f"{LONGEST_S:g}",
        help="that a photo may take before it is given up (%(default)s)",
    )
    batch.add_argument(
        "--pattern",
        metavar="REGEX",
        help="finds (?P<machine>...) and (?P<cylinder>...) in a photo's name; without it the first "
        "sub-folder is the machine and cyl2 in the file name the cylinder",
    )
    batch.add_argument(
        "--dry-run", action="store_true", help="only list what would be read, and what stands"
    )
    # ways to speak of one photo that make no sense for many
    batch.set_defaults(run=later("batch"), tip=None, grey_card=None, plug="all")
