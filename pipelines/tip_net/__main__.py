"""The tip net's command line: `python -m pipelines.tip_net --help`."""

import argparse
import json
from pathlib import Path


def main() -> None:
    """Parse the arguments and run the wanted job."""
    parser = argparse.ArgumentParser(prog="python -m pipelines.tip_net", description=__doc__)
    jobs = parser.add_subparsers(dest="job", required=True)
    train = jobs.add_parser("train", help="train the nets and export them; resumes")
    train.add_argument("--photos", type=Path, nargs="+", required=True, metavar="DIR")
    train.add_argument("--tune", type=Path, nargs="+", required=True, metavar="DIR")
    train.add_argument("--out", type=Path, required=True, help="folder for checkpoint and files")
    train.add_argument("--seconds", type=float, required=True, help="each net, over every call")
    train.add_argument(
        "--onward",
        type=Path,
        metavar="DIR",
        help="begin with the nets of that folder (coarse.onnx, fine.onnx)",
    )
    train.add_argument("--only", choices=("coarse", "fine"), help="one net (default: both at once)")
    train.add_argument("--batch", type=int, default=384, help="views a step (default 384)")
    ship = jobs.add_parser("ship", help="take trained files into a model folder and seal it")
    ship.add_argument("trained", type=Path, help="folder that `train` filled")
    ship.add_argument("--to", type=Path, default=Path("models/tip"), help="(default %(default)s)")
    ship.add_argument("--version", required=True)
    evaluate = jobs.add_parser("evaluate", help="run tipvision's tip stage on photos with truth")
    evaluate.add_argument("--photos", type=Path, nargs="+", required=True, metavar="DIR")
    evaluate.add_argument(
        "--finder", choices=("net", "rings"), default="net", help="rings: the classical peer"
    )
    evaluate.add_argument("--model", type=Path, help="model folder (default: the shipped one)")
    evaluate.add_argument("--sheet", type=Path, help="picture of the 40 worst to write")
    evaluate.add_argument("--figures", type=Path, help="JSON to write")
    evaluate.add_argument("--workers", type=int, default=1, help="processes (default 1)")
    sheet = jobs.add_parser("sheet", help="training views with their targets, to be looked at")
    sheet.add_argument("--photos", type=Path, nargs="+", required=True, metavar="DIR")
    sheet.add_argument("--out", type=Path, required=True, help="the picture to write")
    arguments = parser.parse_args()
    try:
        _run(arguments)
    except (OSError, ValueError) as error:
        raise SystemExit(str(error)) from error


def _run(a: argparse.Namespace) -> None:
    """Run the job; only its own modules are loaded."""
    if a.job == "train":
        from pipelines.tip_net.train import train, train_all

        if a.only is None:
            train_all(a.photos, a.tune, a.out, a.seconds, a.batch, a.onward)
        else:
            figures = train(a.only, a.photos, a.tune, a.out, a.seconds, a.batch, a.onward)
            print(json.dumps(figures, indent=2))
    elif a.job == "ship":
        from pipelines.tip_net.ship import ship

        ship(a.trained, a.to, a.version)
    elif a.job == "evaluate":
        from pipelines.tip_net.evaluate import evaluate

        evaluate(a.photos, a.finder, a.model, a.workers, a.sheet, a.figures)
    else:
        from pipelines.tip_net.sheets import write_views

        write_views(a.photos, a.out)


if __name__ == "__main__":
    main()
