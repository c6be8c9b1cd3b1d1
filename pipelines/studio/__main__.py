"""The studio's command line: `python -m pipelines.studio demo --out synthetic_images/demo`."""

import argparse
from pathlib import Path


def main() -> None:
    """Parse the arguments and run the wanted job."""
    parser = argparse.ArgumentParser(prog="python -m pipelines.studio", description=__doc__)
    jobs = parser.add_subparsers(dest="job", required=True)
    demo = jobs.add_parser("demo", help="render the six demo photos with masks and manifest")
    demo.add_argument("--out", type=Path, required=True, help="folder for photos, masks, manifest")
    demo.add_argument("--only", nargs="*", metavar="NAME", help="just these photos")
    demo.add_argument("--size", type=float, default=1.0, help="scale of the pictures (default 1)")
    demo.add_argument("--quality", type=float, default=1.0, help="scale of the paths a pixel")
    check = jobs.add_parser("check", help="read a manifest and say whether it holds")
    check.add_argument("manifest", type=Path)
    arguments = parser.parse_args()
    if arguments.job == "check":
        from pipelines.studio.truth import ManifestError, read_manifest

        try:
            photos = read_manifest(arguments.manifest)
        except ManifestError as error:
            raise SystemExit(str(error)) from error
        print(
            f"{len(photos)} photos, {sum(p.plug for p in photos)} with a plug: the manifest holds"
        )
        return
    from pipelines.studio.demo import make_demo

    make_demo(arguments.out, arguments.only, arguments.size, arguments.quality)


main()
