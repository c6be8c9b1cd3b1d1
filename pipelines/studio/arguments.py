"""What each job of the studio's command line takes, and what its numbers may be."""

import argparse
import math
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, NoReturn

from pipelines.studio.looks import LOOKS

JPEG_ENDINGS = (".jpg", ".jpeg")


def parse(arguments: list[str] | None = None) -> argparse.Namespace:
    """The arguments of one job. What cannot be is said in one line; the exit status is then 2."""
    parser = _Parser(
        prog="python -m pipelines.studio",
        description="Photos of firing ends with known truth. Each job has its own --help.",
    )
    jobs = parser.add_subparsers(dest="job", required=True)
    _demo(jobs.add_parser("demo", help="render the six demo photos with masks and manifest"))
    _render(jobs.add_parser("render", help="render photos of a look as linear pictures; resumes"))
    _develop(jobs.add_parser("develop", help="photos, masks and manifest from stored renders"))
    _large(jobs.add_parser("large", help="photos of 8 to 48 megapixels from stored renders"))
    _sheet(jobs.add_parser("sheet", help="contact sheet of a set of photos"))
    _sample(jobs.add_parser("sample", help="a balanced sample of a developed set, to ship"))
    leaks = jobs.add_parser("leaks", help="how far pixels beside the plug tell its condition")
    check = jobs.add_parser("check", help="whether a manifest holds, and every file it names")
    for job in (leaks, check):
        job.add_argument("manifest", type=Path, help="the manifest.jsonl of a set")
    jobs.add_parser("physics", help="three checks of the physics against published values")
    return parser.parse_args(arguments)


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{message}. What there is: {self.prog} --help\n")


def whole(low: int, high: int | None = None) -> Callable[[str], int]:
    """Type of an argument: a whole number from `low`, up to `high` if that is given."""
    return _bounded(int, "a whole number", low, high)


def number(low: float, high: float | None = None) -> Callable[[str], float]:
    """Type of an argument: a finite number from `low`, up to `high` if that is given."""
    return _bounded(float, "a number", low, high)


def _bounded(
    kind: Callable[[str], Any], what: str, low: float, high: float | None
) -> Callable[[str], Any]:
    rule = f"{what} from {low:g}" + ("" if high is None else f" to {high:g}")

    def read(text: str) -> Any:
        try:
            value = kind(text)
        except ValueError:
            value = math.nan
        if not (math.isfinite(value) and low <= value <= (math.inf if high is None else high)):
            raise argparse.ArgumentTypeError(f"must be {rule}, not {text!r}")
        return value

    return read


def _photos_each(text: str) -> int:
    from pipelines.studio.developing import VARIANTS

    return whole(1, VARIANTS)(text)


def _demo_photo(text: str) -> str:
    from pipelines.studio.demo import SHOTS

    known = [shot.name for shot in SHOTS]
    if text not in known:
        raise argparse.ArgumentTypeError(f"must be some of {', '.join(known)}, not {text!r}")
    return text


def _jpeg(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() not in JPEG_ENDINGS:
        raise argparse.ArgumentTypeError(f"must end in {' or '.join(JPEG_ENDINGS)}, not {text!r}")
    return path


def _option(job: argparse.ArgumentParser, name: str, kind: Any, default: Any, says: str) -> None:
    job.add_argument(name, type=kind, default=default, help=f"{says} (default: %(default)s)")


def _demo(job: argparse.ArgumentParser) -> None:
    job.add_argument("--out", type=Path, required=True, help="folder for photos, masks, manifest")
    job.add_argument(
        "--only",
        type=_demo_photo,
        nargs="+",
        metavar="NAME",
        help="just the photos of these file names (default: all six)",
    )
    _option(job, "--size", number(0.05, 4), 1.0, "scale of the pictures")
    _option(job, "--quality", number(0.01, 100), 1.0, "scale of the paths a pixel")


def _render(job: argparse.ArgumentParser) -> None:
    half = max(1, (os.cpu_count() or 2) // 2)
    job.add_argument("--look", choices=LOOKS, required=True, help="what the photos may draw")
    job.add_argument("--count", type=whole(1), required=True, help="how many photos")
    job.add_argument("--out", type=Path, required=True, help="folder for the renders")
    _option(job, "--first", whole(0), 0, "number of the first photo")
    _option(job, "--workers", whole(1, 256), half, "processes; half the cores, if not named")
    _option(job, "--wide", whole(1, 10_000), 16, "paths a pixel")
    _option(job, "--plug", whole(1, 10_000), 32, "more paths a pixel on the plug")
    _option(job, "--gpus", whole(1, 64), 1, "GPUs to share the work")
    job.add_argument(
        "--seconds",
        type=number(1),
        default=math.inf,
        help="begin no photo after so long (default: no limit)",
    )


def _develop(job: argparse.ArgumentParser) -> None:
    job.add_argument("renders", type=Path, help="folder that `render` filled")
    job.add_argument("--out", type=Path, required=True, help="an empty or new folder")
    _option(job, "--each", _photos_each, 1, "photos of each render")
    _option(
        job,
        "--longest",
        whole(64, 4096),
        384,
        "longer side in pixels; photos of small plugs get up to 1.6 times that",
    )
    _option(job, "--workers", whole(1, 256), 1, "processes")


def _large(job: argparse.ArgumentParser) -> None:
    job.add_argument("--renders", type=Path, required=True, help="folder that `render` filled")
    job.add_argument("--out", type=Path, required=True, help="folder for photos, masks, manifest")
    _option(job, "--count", whole(1, 1000), 40, "how many photos")


def _sheet(job: argparse.ArgumentParser) -> None:
    job.add_argument("manifest", type=Path, help="the manifest.jsonl of a set")
    job.add_argument("--out", type=_jpeg, required=True, help="the JPEG to write")
    _option(job, "--count", whole(1), 48, "how many photos")
    _option(job, "--first", whole(0), 0, "number of the first, from 0")
    _option(job, "--tile", whole(16, 1024), 192, "side of a tile in pixels")


def _sample(job: argparse.ArgumentParser) -> None:
    job.add_argument("manifest", type=Path, help="the manifest.jsonl of a developed set")
    job.add_argument("--out", type=Path, required=True, help="an empty or new folder")
    _option(job, "--count", whole(1), 180, "how many photos")
