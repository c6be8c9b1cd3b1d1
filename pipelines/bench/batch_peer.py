"""Photos a second against the peer benchmark, a program outside this project.

`python -m pipelines.bench.batch_peer --outside DIR --python PYTHON --way NAME`: DIR holds the peer
benchmark (`bench_peer.py`), PYTHON is of an environment that has what it needs. By its way of that
name (the limit is meant for one that works on the photo at 1024 pixels) it corrects a photo by its
24-patch chart and measures one object in it, in a process that is warm and by one thread. The batch
reads copies of the same photo, each another file. The photo is a demo photo, enlarged to 12
megapixels, with the chart put in; a copy of the program is told where the nose is, which the batch
finds by itself.

CPU time is compared, so that other work on the machine moves it little; the batch's holds
everything: start, models, listing, store, views. Photos a second are that over the batch's cores,
against one process of the peer, which knows no more.
"""

import argparse
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from pipelines.bench.batch_photos import distinct
from pipelines.bench.whole_process import made_elsewhere, spent
from tipvision.colour.srgb import RGB_TO_XYZ, encode
from tipvision.light.chart.editions import COLUMNS, LATEST, ROWS, edition_of

LEAST_RATIO = 10.0
PROGRAM = "bench_peer.py"
PATCH, GAP = 180, 24  # pixels of the 12-megapixel photo
CHART_AT = (120, 2120)  # its left top, x and y: background in the demo photo
RADIUS = 70  # of the object that the peer measures


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--outside", type=Path, required=True, metavar="DIR")
    parser.add_argument("--python", required=True)
    parser.add_argument("--way", required=True, metavar="NAME", help="of those that the peer has")
    parser.add_argument("--count", type=int, default=100, help="photos in the batch")
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    cores = len(os.sched_getaffinity(0))
    theirs, ours = [], []
    with tempfile.TemporaryDirectory() as folder:
        photo = with_chart(made_elsewhere(Path(folder)))
        program = placed(options.outside / PROGRAM, photo, Path(folder, PROGRAM))
        copies = Path(folder, "photos")
        copies.mkdir()
        for number in range(options.count):
            (copies / f"{number:04}.jpg").write_bytes(distinct(photo.read_bytes(), number))
        for turn in range(options.rounds):
            theirs.append(of_peer(options.python, program, options.way, photo))
            ours.append(of_batch(copies, Path(folder, f"out-{turn}"), cores) / options.count)
    peer, own = statistics.median(theirs), statistics.median(ours)
    ratio = cores * peer / own
    print(f"rounds: {options.rounds}; photos in the batch: {options.count}; medians of CPU time")
    print(f"peer benchmark by {options.way}: {peer:.3f} s a photo")
    print(f"batch: {own:.3f} s a photo; {peer / own:.1f} times")
    print(f"ratio of photos a second on {cores} cores: {ratio:.1f} (limit {LEAST_RATIO:g})")
    return int(ratio < LEAST_RATIO)


def with_chart(photo: Path) -> Path:
    """Put a 24-patch chart into a photo, flat and square."""
    picture = cv2.imread(str(photo))
    assert picture is not None
    linear = np.clip(edition_of(LATEST).xyz @ np.linalg.inv(RGB_TO_XYZ).T, 0.0, 1.0)
    codes = np.rint(255 * encode(linear)).astype(np.uint8)[:, ::-1].reshape(ROWS, COLUMNS, 3)
    step = PATCH + GAP
    chart = np.full((ROWS * step + GAP, COLUMNS * step + GAP, 3), 24, np.uint8)
    for row, column in np.ndindex(ROWS, COLUMNS):
        top, left = GAP + row * step, GAP + column * step
        chart[top : top + PATCH, left : left + PATCH] = codes[row, column]
    x, y = CHART_AT
    picture[y : y + chart.shape[0], x : x + chart.shape[1]] = chart
    cv2.imwrite(str(photo), picture, [cv2.IMWRITE_JPEG_QUALITY, 90])
    return photo


def placed(program: Path, photo: Path, copy: Path) -> Path:
    """A copy of the peer benchmark whose constants say where the nose is."""
    reading = [sys.executable, "-m", "tipvision", "read", "--json", str(photo)]
    record = json.loads(subprocess.run(reading, capture_output=True, check=True).stdout)
    if record["light"]["source"] != "chart" or record["colour"] is None:
        raise SystemExit("The chart or the nose was not found: there is nothing to compare.")
    ring = np.array(record["tip"]["outlines"][0])
    with Image.open(photo) as opened:
        width, height = opened.size
    x, y = ring.mean(axis=0) / (width, height)
    constants = f"CX, CY, RAD = {x:.5f}, {y:.5f}, {RADIUS / width:.5f}"
    text, count = re.subn(r"^CX, CY, RAD = .*$", constants, program.read_text(), flags=re.M)
    if count != 1:
        raise SystemExit(f"{program} is not the peer benchmark that this was written for.")
    copy.write_text(text)
    return copy


def of_peer(python: str, program: Path, way: str, photo: Path) -> float:
    """CPU seconds a photo, the first left out: its process is warm then."""
    command = [python, str(program), "worker", way, "5", str(photo)]
    done = subprocess.run(command, capture_output=True, text=True, env=_one_thread(), check=False)
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["it says nothing"])[-1]
        raise SystemExit(f"The peer benchmark does not run: {last}")
    told = json.loads(done.stdout.splitlines()[-1])
    if isinstance(told["out"][str(photo)], str):
        raise SystemExit(f"The peer benchmark reads nothing: {told['out'][str(photo)]}")
    return float(statistics.median(told["cpu"][1:]))


def of_batch(photos: Path, out: Path, workers: int) -> float:
    """CPU seconds of a whole batch with its workers."""
    command = ["batch", str(photos), "--out", str(out), "--quiet", "--workers", str(workers)]
    cpu, _ = spent([sys.executable, "-m", "tipvision", *command])
    return cpu


def _one_thread() -> dict[str, str]:
    names = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS")
    return {**os.environ, **dict.fromkeys(names, "1")}


if __name__ == "__main__":
    sys.exit(main())
