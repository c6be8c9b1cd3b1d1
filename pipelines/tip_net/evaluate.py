"""How well tipvision finds noses on a set of photos with truth: figures, curves, the 40 worst."""

import json
import multiprocessing
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from pipelines.bench.intervals import rate_line, wilson
from pipelines.tip_net.judge import Outcome, judged
from pipelines.tip_net.listing import listed, read_pair

CLASSES = (("60 px and more", 60.0, 1e9), ("24 to 60 px", 24.0, 60.0), ("under 24 px", 0.0, 24.0))
RESAMPLES = 1000
LEAST_IN_CELL = 5
"""A cell of fewer answers is not named as the worst."""

WORST, COLUMNS, TILE = 40, 8, 240


def evaluate(
    folders: Sequence[Path],
    finder: str,
    model: Path | None,
    workers: int,
    sheet: Path | None,
    figures: Path | None,
) -> None:
    """Print everything; write the sheet and the figures where they are wanted."""
    outcomes = all_outcomes(folders, finder, model, workers)
    found = report(outcomes)
    if figures is not None:
        figures.write_text(json.dumps(found, indent=2) + "\n", "utf-8")
    if sheet is not None:
        write_worst(outcomes, folders, sheet)


def all_outcomes(
    folders: Sequence[Path], finder: str, model: Path | None, workers: int
) -> list[Outcome]:
    """What became of every plug of the set and of every photo without one."""
    entries = listed(folders)
    one = partial(judged, finder=finder, model=model)
    if workers <= 1:
        return [outcome for entry in entries for outcome in one(entry)]
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        workers, context, initializer=cv2.setNumThreads, initargs=(1,)
    ) as pool:
        return [o for found in pool.map(one, entries, chunksize=16) for o in found]


def report(outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """Print figures by size of the nose, of photos without a plug, and curves; give them back."""
    figures: dict[str, Any] = {}
    for name, low, high in CLASSES:
        chosen = [o for o in outcomes if o.nose_px > 0 and low <= o.nose_px < high]
        print(f"noses of {name}: {len(chosen)}")
        figures[name] = _of_class(chosen)
    bare = [o for o in outcomes if o.nose_px == 0]
    figures["without a plug"] = _rate("false plugs", bare, "false_plug")
    print(rate_line("false plugs in photos without one", _count(bare, "false_plug"), len(bare)))
    figures["curves"] = _curves([o for o in outcomes if o.nose_px >= CLASSES[1][1]])
    return figures


def _of_class(chosen: Sequence[Outcome]) -> dict[str, Any]:
    overlaps = np.array([o.overlap for o in chosen if o.state == "answered"], float)
    on_it = np.array([o.overlap for o in chosen if o.overlap is not None], float)
    told: dict[str, Any] = {"n": len(chosen)}
    for what, values in (("answered", overlaps), ("answered or refused", on_it)):
        told[what] = {"n": len(values)}
        if len(values):
            told[what] |= {
                "mean": _with_interval(values, np.mean),
                "p5": _with_interval(values, lambda v: np.percentile(v, 5)),
            }
            mean, p5 = told[what]["mean"], told[what]["p5"]
            print(f"  nose IoU, {what}: n {len(values)}, mean {_said(mean)}, 5 % {_said(p5)}")
    for state in ("missed", "refused"):
        told[state] = _rate(state, chosen, state)
        print("  " + rate_line(state, told[state]["k"], len(chosen)))
    codes = Counter(code for o in chosen for code in o.reasons)
    told["reasons"] = dict(codes.most_common())
    print(f"  reasons: {', '.join(f'{code} {n}' for code, n in codes.most_common()) or 'none'}")
    return told


def _curves(chosen: Sequence[Outcome]) -> dict[str, Any]:
    """Mean overlap of answers, and shares missed and refused, in every cell of every curve."""
    print(f"curves over noses of 24 px and more ({len(chosen)}); a cell: answered, mean IoU,")
    print("refused, missed; * the worst mean of its curve")
    curves: dict[str, Any] = {}
    for name in sorted({name for o in chosen for name in o.cells}):
        cells = {}
        for cell in sorted({o.cells[name] for o in chosen}, key=_by_number):
            there = [o for o in chosen if o.cells[name] == cell]
            overlaps = np.array([o.overlap for o in there if o.state == "answered"], float)
            cells[cell] = {
                "n": len(there),
                "answered": len(overlaps),
                "mean": _with_interval(overlaps, np.mean) if len(overlaps) else None,
                "refused": _count(there, "refused"),
                "missed": _count(there, "missed"),
            }
        judged_cells = {k: c for k, c in cells.items() if c["answered"] >= LEAST_IN_CELL}
        worst = min(judged_cells, key=lambda k: judged_cells[k]["mean"][0], default=None)
        print(f"  {name}")
        for cell, told in cells.items():
            mean = "-" if told["mean"] is None else _said(told["mean"])
            mark = "*" if cell == worst else " "
            print(
                f"   {mark}{cell:32} {told['answered']:5} of {told['n']:5}  {mean}  "
                f"refused {told['refused']}, missed {told['missed']}"
            )
        curves[name] = {"cells": cells, "worst": worst}
    return curves


def _by_number(cell: str) -> tuple[float, str]:
    words = cell.split()
    number = next((w for w in words if w.replace(".", "").isdigit()), None)
    under = -0.5 if words[0] == "under" else 0.0
    return (float("inf") if number is None else float(number) + under), cell


def _count(outcomes: Sequence[Outcome], state: str) -> int:
    return sum(o.state == state for o in outcomes)


def _rate(name: str, outcomes: Sequence[Outcome], state: str) -> dict[str, Any]:
    k, n = _count(outcomes, state), len(outcomes)
    return {"what": name, "k": k, "n": n, "interval": wilson(k, n)}


def _with_interval(values: npt.NDArray[np.float64], of: Any) -> tuple[float, float, float]:
    """The figure and its 95 % interval by resampling, with the same draws every time."""
    rng = np.random.default_rng(0)
    draws = [of(values[rng.integers(0, len(values), len(values))]) for _ in range(RESAMPLES)]
    low, high = np.percentile(draws, (2.5, 97.5))
    return float(of(values)), float(low), float(high)


def _said(figure: tuple[float, float, float]) -> str:
    return f"{figure[0]:.3f} ({figure[1]:.3f} to {figure[2]:.3f})"


def write_worst(outcomes: Sequence[Outcome], folders: Sequence[Path], out: Path) -> None:
    """The 40 worst of noses of 24 px and more, and false plugs: truth in white, found in orange."""
    bad = [o for o in outcomes if o.state in ("missed", "answered") and o.nose_px >= 24]
    bad.sort(key=lambda o: -1.0 if o.overlap is None else o.overlap)
    false = [o for o in outcomes if o.state == "false_plug"][: WORST // 4]
    chosen = [*false, *bad][:WORST]
    entries = {str(entry.photo): entry for entry in listed(folders)}
    tiles = []
    for outcome in chosen:
        shown, mask = read_pair(entries[outcome.photo])
        tiles.append(_tile(np.ascontiguousarray(shown), mask, outcome))
        overlap = "-" if outcome.overlap is None else f"{outcome.overlap:.2f}"
        print(f"{outcome.state:10} {overlap:5} {outcome.nose_px:5.0f} px  {outcome.photo}")
    if not tiles:
        print("nothing to show")
        return
    tiles += [np.zeros_like(tiles[0])] * (-len(tiles) % COLUMNS)
    rows = [np.hstack(tiles[k : k + COLUMNS]) for k in range(0, len(tiles), COLUMNS)]
    cv2.imwrite(str(out), np.vstack(rows)[..., ::-1])


def _tile(
    shown: npt.NDArray[np.uint8], mask: npt.NDArray[np.uint8], outcome: Outcome
) -> npt.NDArray[np.uint8]:
    number = 8 * outcome.number
    nose = (mask == number + 1) | (mask == number + 2) if outcome.nose_px else mask > 255
    points = [np.argwhere(nose)[:, ::-1]] if nose.any() else []
    points += [ring for ring in outcome.outlines if not nose.any()]
    at = np.concatenate(points) if points else np.array([[0, 0], shown.shape[1::-1]])
    low, high = at.min(axis=0), at.max(axis=0)
    middle, side = (low + high) / 2, max(48.0, 3.0 * float((high - low).max()))
    zoom = TILE / side
    matrix = np.array(
        [[zoom, 0, TILE / 2 - zoom * middle[0]], [0, zoom, TILE / 2 - zoom * middle[1]]]
    )
    tile = cv2.warpAffine(shown, matrix, (TILE, TILE))
    large = cv2.warpAffine(nose.astype(np.uint8), matrix, (TILE, TILE), flags=cv2.INTER_NEAREST)
    rings, _ = cv2.findContours(large, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    cv2.drawContours(tile, rings, -1, (255, 255, 255), 1)
    for ring in outcome.outlines:
        drawn = np.rint((ring * zoom + matrix[:, 2]) * 16).astype(np.int32)
        cv2.polylines(tile, [drawn], True, (255, 130, 0), 1, cv2.LINE_AA, 4)
    return np.asarray(tile, np.uint8)
