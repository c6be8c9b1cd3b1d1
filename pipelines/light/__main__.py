"""`python -m pipelines.light fit --photos DIR [--tune DIR] [--out DIR]`.

Fits `models/nose_light` on the photos of a folder with a manifest (a developed set of the look
*train* or *tune*, never *report*), prints what it found, and judges it on those of `--tune`. With
`--out` the model folder's parameters and manifest are written and sealed.
"""

import argparse
import hashlib
import json
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from pipelines.bench.intervals import rate_line
from pipelines.light.fit import (
    fit_all,
    half_width,
    left_over,
    of_kind,
    parameters_of,
    within_region,
)
from pipelines.light.rows import Row, rows_of
from pipelines.seal import seal
from tipvision.light.at_the_nose import ANY, NoseFit
from tipvision.light.estimate import PULL

Fits = dict[str, dict[str, NoseFit]]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m pipelines.light", description=__doc__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    fit = commands.add_parser("fit", help="fit the light at the nose")
    fit.add_argument("--photos", type=Path, required=True, metavar="DIR", help="photos to fit on")
    fit.add_argument("--tune", type=Path, metavar="DIR", help="photos to judge it on")
    fit.add_argument("--out", type=Path, metavar="DIR", help="model folder to write")
    options = parser.parse_args(arguments)
    try:
        return _fit(options.photos, options.tune, options.out)
    except (OSError, ValueError) as error:
        print(f"error: {error}", file=sys.stderr)
        return 1


def _fit(photos: Path, tune: Path | None, out: Path | None) -> int:
    rows = list(rows_of(photos))
    _say_casts(rows)
    fits = fit_all(rows)
    for kind, views in fits.items():
        for view, fit in views.items():
            held = [row for row in of_kind(rows, kind) if view in (row.view, ANY)]
            before = float(np.std([row.miss for row in held]))
            terms = ", ".join(f"{n} {slope:+.2f}" for n, (_, slope) in fit.terms.items()) or "none"
            print(
                f"{kind}, {view}: n {len(held)}, mean {fit.intercept:+.2f}, "
                f"sd before {before:.2f}, after {fit.sd:.2f}, cast sd {fit.cast_sd:.2f}, "
                f"slopes: {terms}"
            )
    _judge(f"on the photos of the fit ({photos.name})", rows, fits)
    if tune is not None:
        _judge(f"on {tune.name}", list(rows_of(tune)), fits)
    if out is not None:
        write_model(out, photos, len(rows), fits)
    return 0


def _say_casts(rows: Sequence[Row]) -> None:
    """What the constants of `tipvision/light/estimate.py` are set by."""
    guessed = [row for row in rows if not row.measured]
    missed = np.concatenate([row.cast_miss for row in guessed])
    print(
        f"estimate, pull {PULL}: cast of {len(guessed)} noses left over, ln: "
        f"sd {np.sqrt((missed**2).mean()):.3f}, median {np.median(np.abs(missed)):.3f}"
    )


def _judge(where: str, rows: Sequence[Row], fits: Fits) -> None:
    for kind in fits:
        held = of_kind(rows, kind)
        if not held:
            continue
        chosen = [fits[kind][row.view] for row in held]
        left = np.array([left_over(row, fit) for row, fit in zip(held, chosen, strict=True)])
        width = np.median([half_width(row, fit) for row, fit in zip(held, chosen, strict=True)])
        hits = sum(within_region(row, fit) for row, fit in zip(held, chosen, strict=True))
        print(
            f"{where}, {kind}: mean left over {left.mean():+.2f}, sd {left.std():.2f}, median "
            f"half-width {width:.1f} L*"
        )
        print(rate_line(f"{where}, {kind}: true colour within the 95 % region", hits, len(held)))


def write_model(out: Path, photos: Path, count: int, fits: Fits) -> None:
    """Write the fits, made from `count` rows of `photos`, as a sealed model folder."""
    name = photos.name if photos.is_absolute() else photos.as_posix()
    out.mkdir(parents=True, exist_ok=True)
    text = json.dumps(parameters_of(fits), indent=1) + "\n"
    (out / "parameters.json").write_text(text, "utf-8")
    manifest = {
        "name": "nose_light",
        "version": "1",
        "made_by": f"python -m pipelines.light fit --photos {name}",
        "inputs": [
            {
                "manifest": f"{name}/manifest.jsonl",
                "sha256": hashlib.sha256((photos / "manifest.jsonl").read_bytes()).hexdigest(),
            }
        ],
        "metrics": {"rows": count},
        "files": {},
    }
    (out / "manifest.json").write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")
    seal(out)


if __name__ == "__main__":
    sys.exit(main())
