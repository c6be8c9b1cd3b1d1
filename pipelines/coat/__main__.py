"""`python -m pipelines.coat COMMAND`: make the coat net, and tell a fit what it says of its plugs.

crops: measure developed sets and keep a row and a crop for each nose.
train: train the net on crops, with every part of the plugs held out in turn, and without.
tell:  write rows with what the nets that had not seen each plug tell of it, to fit a condition on.
ship:  take a trained net into a model folder, beside the newer of its two, and seal it.
alone: print what each net of a model folder is worth by itself, and both together.
"""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

from pipelines.parser import parser_of


def main(arguments: Sequence[str] | None = None) -> None:
    """Parse the arguments and run the wanted job; what fails is said in one line."""
    parser = parser_of("coat", __doc__)
    jobs = parser.add_subparsers(required=True, metavar="COMMAND", dest="job")
    crops = jobs.add_parser("crops", help="measure photos with truth and cut their noses out")
    crops.add_argument("--photos", type=Path, nargs="+", required=True, metavar="DIR")
    crops.add_argument("--out", type=Path, required=True, help="begins the names of two files")
    crops.add_argument("--workers", type=int, default=2)
    train = jobs.add_parser("train", help="train the nets")
    tell = jobs.add_parser("tell", help="rows with held-out answers")
    alone = jobs.add_parser("alone", help="what the nets are worth by themselves")
    for job in (train, tell, alone):
        job.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
        job.add_argument("--crops", type=Path, nargs="+", required=True, metavar="FILE.npz")
    for job in (tell, alone):
        job.add_argument(
            "--model", type=Path, default=Path("models/coat"), help="(default %(default)s)"
        )
    train.add_argument(
        "--onward",
        type=Path,
        default=Path("models/tip/fine.onnx"),
        metavar="FILE.onnx",
        help="begin with the encoder of that net, the fine tip net or an earlier coat net "
        "(default %(default)s)",
    )
    train.add_argument("--seconds", type=float, required=True, help="of each run")
    train.add_argument("--batch", type=int, default=256, help="views a step (default 256)")
    train.add_argument("--out", type=Path, required=True, metavar="DIR")
    train.add_argument("--part", type=int, help="this run alone (default: all of them)")
    ship = jobs.add_parser("ship", help="seal a trained net as a model folder")
    ship.add_argument("trained", type=Path, help="folder that `train` filled")
    ship.add_argument("--to", type=Path, default=Path("models/coat"), help="(default %(default)s)")
    ship.add_argument("--version", required=True)
    tell.add_argument(
        "--trained",
        type=Path,
        required=True,
        help="folder that `train` filled; its net will look beside the newer one of --model",
    )
    tell.add_argument("--out", type=Path, required=True, metavar="FILE.npz")
    options = parser.parse_args(arguments)
    try:
        _run(options)
    except (OSError, ValueError) as error:
        raise SystemExit(str(error)) from error


def _run(a: argparse.Namespace) -> None:
    """Run the job; only its own modules are loaded."""
    if a.job == "crops":
        from pipelines.coat.crops import write_noses

        print(f"{write_noses(a.photos, a.out, a.workers)} rows")
    elif a.job == "train":
        from pipelines.coat.train import Course, run_part, train_all

        course = Course(tuple(a.rows), tuple(a.crops), a.onward, a.seconds, a.batch)
        if a.part is None:
            train_all(course, a.out)
        else:
            print(json.dumps(run_part(course, a.out, a.part)))
    elif a.job == "ship":
        from pipelines.coat.ship import ship

        ship(a.trained, a.to, a.version)
    elif a.job == "tell":
        from pipelines.coat.tell import newer, tell

        print(f"{tell(a.rows, a.crops, a.trained, newer(a.model, a.trained), a.out)} rows")
    else:
        from pipelines.coat.alone import lines
        from pipelines.coat.crops import matched
        from tipvision.measure.coat import load_coat_nets

        print("\n".join(lines(*matched(a.rows, a.crops), load_coat_nets(a.model))))


if __name__ == "__main__":
    main()
