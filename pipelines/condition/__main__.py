"""`python -m pipelines.condition COMMAND`: make and judge the condition model.

rows:     measure developed sets (folders with manifests) and keep a row for each nose.
fit:      fit a model on rows of the look *train*, print what it is worth on those of *tune*, and
          write its folder.
heat:     set anew, on rows, what counts as a sign of heat in a model that was fitted.
evaluate: print what a model is worth on rows.
"""

import argparse
import hashlib
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pipelines.condition.figures import judged_rows, lines
from pipelines.condition.fit import fit_model
from pipelines.condition.heat import heat_of
from pipelines.condition.regression import Settings
from pipelines.condition.rows import read_table, rows_of, table_of, write_table
from pipelines.parser import parser_of
from tipvision.condition.model import default_model, load_model
from tipvision.sealed import ModelFault
from tipvision.teaching.writing import write_model

NAME, VERSION = "curves", "7"


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("condition", __doc__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND", dest="command")
    rows = commands.add_parser("rows", help="measure photos with truth")
    rows.add_argument("--photos", type=Path, nargs="+", required=True, metavar="DIR")
    rows.add_argument("--out", type=Path, required=True, metavar="FILE.npz")
    rows.add_argument("--workers", type=int, default=2)
    rows.add_argument("--guesses", action="store_true", help="a row under the guessed light too")
    fit = commands.add_parser("fit", help="fit the model")
    fit.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    fit.add_argument("--tune", type=Path, nargs="+", required=True, metavar="FILE.npz")
    fit.add_argument("--out", type=Path, metavar="DIR", help="model folder to write")
    fit.add_argument("--strength", type=float, default=Settings.strength)
    fit.add_argument("--bent", type=float, default=Settings.bent)
    heat = commands.add_parser("heat", help="set anew what counts as a sign of heat")
    heat.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    heat.add_argument("--model", type=Path, required=True, metavar="DIR", help="changed in place")
    judge = commands.add_parser("evaluate", help="print what a model is worth")
    judge.add_argument("--rows", type=Path, nargs="+", required=True, metavar="FILE.npz")
    judge.add_argument("--model", type=Path, metavar="DIR", help="else the one that ships")
    options = parser.parse_args(arguments)
    try:
        runs = {"rows": _rows, "fit": _fit, "heat": _heat, "evaluate": _evaluate}
        return runs[options.command](options)
    except (OSError, ValueError, ModelFault) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1


def _rows(options: argparse.Namespace) -> int:
    table = table_of(rows_of(options.photos, options.workers, options.guesses))
    write_table(options.out, table)
    print(f"{options.out}: {len(table)} rows, {int(table.own.sum())} noses")
    return 0


def _fit(options: argparse.Namespace) -> int:
    table, tune = read_table(options.rows), read_table(options.tune)
    settings = Settings(strength=options.strength, bent=options.bent)
    model, tried = fit_model(table, settings, NAME, VERSION)
    told = list(lines(judged_rows(tune, model)))
    told += ["-- findings, held out of the fit --", *(one.line() for one in tried)]
    print("\n".join(told))
    if options.out is not None:
        named = " ".join(path.name for path in options.rows)
        made_by = (
            f"python -m pipelines.condition fit --rows {named} --strength {options.strength:g} "
            f"--bent {options.bent:g}"
        )
        inputs = _named((*options.rows, *options.tune))
        metrics = {"rows": len(table), "on tune": told}
        write_model(options.out, model, made_by, inputs, metrics)
    return 0


def _heat(options: argparse.Namespace) -> int:
    model, table = load_model(options.model), read_table(options.rows)
    model = replace(model, heat=heat_of(table.where(table.fit_to_read)), version=VERSION)
    manifest = json.loads((options.model / "manifest.json").read_text("utf-8"))
    fitted = manifest["made_by"].partition("; heat ")[0]
    made_by = f"{fitted}; heat --rows {' '.join(path.name for path in options.rows)}"
    own = _named(options.rows)
    inputs = [*(one for one in manifest["inputs"] if one not in own), *own]
    write_model(options.model, model, made_by, inputs, manifest["metrics"])
    for name, value in model.heat.items():
        print(f"{name}: above {value:.2f}")
    return 0


def _named(files: Sequence[Path]) -> list[dict[str, str]]:
    return [
        {"rows": path.name, "sha256": hashlib.sha256(path.read_bytes()).hexdigest()}
        for path in files
    ]


def _evaluate(options: argparse.Namespace) -> int:
    model = default_model() if options.model is None else load_model(options.model)
    print("\n".join(lines(judged_rows(read_table(options.rows), model))))
    return 0


if __name__ == "__main__":
    sys.exit(main())
