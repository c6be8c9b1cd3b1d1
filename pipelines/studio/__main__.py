"""The studio's command line: `python -m pipelines.studio --help`."""

import argparse
import os
from pathlib import Path

from pipelines.studio.looks import LOOKS


def main() -> None:
    """Parse the arguments and run the wanted job; what fails is said in one line."""
    arguments = _arguments()
    try:
        _run(arguments)
    except (ValueError, IndexError) as error:
        raise SystemExit(str(error)) from error
    except OSError as error:
        what = error.strerror or str(error)
        raise SystemExit(f"{error.filename or 'a file'}: {what}. Name another path.") from error


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m pipelines.studio", description=__doc__)
    jobs = parser.add_subparsers(dest="job", required=True)
    demo = jobs.add_parser("demo", help="render the six demo photos with masks and manifest")
    demo.add_argument("--out", type=Path, required=True, help="folder for photos, masks, manifest")
    demo.add_argument("--only", nargs="*", metavar="NAME", help="just these photos")
    demo.add_argument("--size", type=float, default=1.0, help="scale of the pictures (default 1)")
    demo.add_argument("--quality", type=float, default=1.0, help="scale of the paths a pixel")
    render = jobs.add_parser("render", help="render photos of a look as linear pictures; resumes")
    render.add_argument("--look", choices=LOOKS, required=True)
    render.add_argument("--count", type=int, required=True, help="how many photos")
    render.add_argument("--first", type=int, default=0, help="number of the first (default 0)")
    render.add_argument("--out", type=Path, required=True, help="folder for the renders")
    render.add_argument("--workers", type=int, help="processes (default: half the cores)")
    render.add_argument("--wide", type=int, default=16, help="paths a pixel (default 16)")
    render.add_argument("--plug", type=int, default=32, help="more paths on the plug (default 32)")
    render.add_argument("--gpus", type=int, default=1, help="GPUs to share the work (default 1)")
    render.add_argument("--seconds", type=float, default=1e9, help="begin none after so long")
    develop = jobs.add_parser("develop", help="photos, masks and manifest from stored renders")
    develop.add_argument("renders", type=Path, help="folder that `render` filled")
    develop.add_argument("--out", type=Path, required=True)
    develop.add_argument("--each", type=int, default=1, help="photos of each render (default 1)")
    develop.add_argument(
        "--longest",
        type=int,
        default=384,
        help="longer side in pixels; photos of small plugs get up to 1.6 times that",
    )
    large = jobs.add_parser("large", help="40 photos of 8 to 48 megapixels from stored renders")
    large.add_argument("--renders", type=Path, required=True, help="folder that `render` filled")
    large.add_argument("--out", type=Path, required=True)
    large.add_argument("--count", type=int, default=40)
    sheet = jobs.add_parser("sheet", help="contact sheet of a set of photos")
    sheet.add_argument("manifest", type=Path)
    sheet.add_argument("--out", type=Path, required=True, help="the picture to write")
    sheet.add_argument("--count", type=int, default=48)
    sheet.add_argument("--first", type=int, default=0)
    sheet.add_argument("--tile", type=int, default=192, help="side of a tile in pixels")
    sample = jobs.add_parser("sample", help="a balanced sample of a developed set, to ship")
    sample.add_argument("manifest", type=Path)
    sample.add_argument("--out", type=Path, required=True, help="an empty or new folder")
    sample.add_argument("--count", type=int, default=180)
    leaks = jobs.add_parser("leaks", help="how far pixels beside the plug tell its condition")
    leaks.add_argument("manifest", type=Path)
    jobs.add_parser("physics", help="three checks of the physics against published values")
    check = jobs.add_parser("check", help="read a manifest and say whether it holds")
    check.add_argument("manifest", type=Path)
    return parser.parse_args()


def _run(a: argparse.Namespace) -> None:
    """Run the job; only its own modules are loaded."""
    if a.job == "check":
        from pipelines.studio.truth import read_manifest

        photos = read_manifest(a.manifest)
        plugs = sum(p.plug is not None for p in photos)
        print(f"{len(photos)} photos, {plugs} with a plug: the manifest holds")
    elif a.job == "render":
        from pipelines.studio.sets import render_set

        workers = a.workers or max(1, (os.cpu_count() or 2) // 2)
        numbers = range(a.first, a.first + a.count)
        tally = render_set(a.look, numbers, a.out, workers, a.wide, a.plug, a.seconds, a.gpus)
        print(tally.told())
        if tally.failed:
            raise SystemExit(1)
    elif a.job == "develop":
        from pipelines.studio.developing import develop_set

        print(f"{len(develop_set(a.renders, a.out, a.each, a.longest))} photos")
    elif a.job == "large":
        from pipelines.studio.large import make_large, peak, sizes

        print(f"{len(make_large(a.renders, a.out, sizes(a.count)))} photos, peak {peak():.0f} MB")
    elif a.job == "sheet":
        from pipelines.studio.sheets import write_sheet

        write_sheet(a.manifest, a.out, a.first, a.count, a.tile)
    elif a.job == "physics":
        from pipelines.studio.physics import report as physics_report

        text, holds = physics_report()
        print(text)
        if not holds:
            raise SystemExit(1)
    elif a.job == "sample":
        from pipelines.studio.sample_set import told, write_sample

        print(told(write_sample(a.manifest, a.out, a.count), a.out))
    elif a.job == "leaks":
        from pipelines.studio.leaks import report

        print(report(a.manifest))
    else:
        from pipelines.studio.demo import make_demo

        make_demo(a.out, a.only, a.size, a.quality)


if __name__ == "__main__":
    main()
