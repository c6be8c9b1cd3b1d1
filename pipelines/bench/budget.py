"""What each station of one reading costs, against one full decode of the photo by OpenCV.

`python -m pipelines.bench.budget [--photos FILE …] [--large] [--warm] [--runs N]`. Without photos
one of the labelled sample is enlarged to 12 megapixels, with noise so that its JPEG is as dense as
a phone's, and read four times: as it is, with the chart photo of its lamp beside it, under the
light kept from that chart, and so small in the frame that half scale does not serve; `--large` adds
it at 48 megapixels. Both run in this process on one thread and take turns, and each turn is one
ratio, so that a busy machine slows both alike. The photos are made in a process of their own: the
memory that this frees would stay at hand here and spare the peer the pages that a decode asks for
anew otherwise, a third of its time and more (`--warm` makes them here, to see that). The clock runs
inside `tipvision.reading.read` itself: what a station asks of the photo counts for the photo, and
what no station takes, the record's JSON with it, for the rest.
"""

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from typing import Any
from unittest.mock import patch

import cv2
import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from pipelines.bench.whole_process import dense_jpeg
from pipelines.light.rows import stored_light_of
from pipelines.studio.truth import PhotoTruth, read_manifest
from tipvision import reading
from tipvision.light.said import Said
from tipvision.photo.photo import Photo
from tipvision.reading import Ask
from tipvision.record.as_json import to_json
from tipvision.record.reading import Reading

SAMPLE = Path(__file__).parents[2] / "synthetic_images" / "sample"
REST, ALL = "rest", "all"
LIMITS = {"photo": 0.45, "tip": 0.30, "light": 0.10, "measure, condition": 0.10, REST: 0.05}
"""CPU time of a station over that of `cv2.imread`."""

WHOLE, WHOLE_WITH_CHART, WHOLE_IN_FULL = 1.0, 1.5, 2.2
"""The same of a whole reading: as most are, with a chart, and decoded at both scales."""

CALLED: tuple[tuple[Any, str, str], ...] = (
    *((Photo, call, "photo") for call in ("overview", "window", "shown")),
    (reading, "open_photo", "photo"),
    (reading, "know_light", "light"),
    *((reading, call, "tip") for call in ("search_tips", "gates")),
    *((reading, call, "measure, condition") for call in ("measure", "judge")),
)
"""What is on the clock: where it is called, its name, and the station that it counts for."""

PIXELS, LARGE_PIXELS = 12e6, 48e6
FAR_OFF_PX = 115  # of the nose


@dataclass(frozen=True)
class Case:
    """One photo and what is said of its light."""

    what: str
    photo: Path
    said: Said = field(default_factory=Said)
    limit: float = WHOLE


@dataclass
class Clock:
    """CPU seconds by station; a station called from another counts for itself alone."""

    spent: dict[str, float] = field(default_factory=lambda: dict.fromkeys(LIMITS, 0.0))
    inner: list[float] = field(default_factory=lambda: [0.0])

    def timed(self, station: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """The same call, on the clock."""

        def timed_call(*args: Any, **kwargs: Any) -> Any:
            self.inner.append(0.0)
            begin = time.process_time()
            try:
                return call(*args, **kwargs)
            finally:
                took = time.process_time() - begin
                self.spent[station] += took - self.inner.pop()
                self.inner[-1] += took

        return timed_call


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--photos", nargs="+", type=Path, metavar="FILE")
    parser.add_argument("--large", action="store_true")
    parser.add_argument("--warm", action="store_true", help="with memory at hand for the peer")
    parser.add_argument("--runs", type=int, default=9)
    options = parser.parse_args()
    cv2.setNumThreads(1)
    threadpool_limits(1)
    with tempfile.TemporaryDirectory() as folder:
        if options.photos:
            if gone := [str(path) for path in options.photos if not path.is_file()]:
                parser.error(f"there is no file {', '.join(gone)}")
            cases = [Case("as given", path) for path in options.photos]
        else:
            cases = made_cases(Path(folder), options.large, options.warm)
        held = [told(case, options.runs) for case in cases]
    return int(not all(held))


def told(case: Case, runs: int) -> bool:
    """Print what each station costs; whether every limit holds."""
    readings, turns = measured(case, runs)
    width, height = readings[0].size or (0, 0)
    print(
        f"{case.photo.name}, {case.what}, {width} x {height}, comes out as {_outcome(readings)}: "
        f"cv2.imread {1000 * statistics.median(peer for peer, _ in turns):.0f} ms of CPU "
        f"(medians of {runs})"
    )
    within = True
    for what, limit in {**LIMITS, ALL: case.limit}.items():
        parts = [(spent if what == ALL else {what: spent[what]}, peer) for peer, spent in turns]
        ms = 1000 * statistics.median(sum(part.values()) for part, _ in parts)
        ratio = statistics.median(sum(part.values()) / peer for part, peer in parts)
        within &= ratio <= limit
        word = "holds" if ratio <= limit else "is over"
        print(f"  {what:<20}{ms:7.1f} ms  {ratio:5.2f}  {limit:.2f} {word}")
    return within


def measured(
    case: Case, runs: int
) -> tuple[tuple[Reading, ...], list[tuple[float, Mapping[str, float]]]]:
    """The readings, and CPU seconds of `cv2.imread` and of each station, turn by turn."""
    ask, name = Ask(light=case.said), str(case.photo)
    readings = reading.read(name, ask)  # warms caches and loads the nets
    turns: list[tuple[float, Mapping[str, float]]] = []
    for _ in range(runs):
        begin = time.process_time()
        cv2.imread(name)
        peer = time.process_time() - begin
        clock = Clock()
        with ExitStack() as patched:
            for home, call, station in CALLED:
                timed = clock.timed(station, getattr(home, call))
                patched.enter_context(patch.object(home, call, timed))
            clock.timed(REST, _recorded)(name, ask)
        turns.append((peer, clock.spent))
    return readings, turns


def _recorded(name: str, ask: Ask) -> list[str]:
    return [to_json(one) for one in reading.read(name, ask)]


def _outcome(readings: tuple[Reading, ...]) -> str:
    one = readings[0]
    light = "" if one.light is None else f" under {one.light.source}"
    codes = ", ".join(reason.code for reason in one.reasons)
    return one.outcome + light + (f" ({codes})" if codes else "")


def made_cases(folder: Path, large: bool, here: bool) -> list[Case]:
    """`sample_cases`, made here or in another process."""
    if here:
        return sample_cases(folder, large)
    with ProcessPoolExecutor(1, get_context("spawn")) as apart:
        return apart.submit(sample_cases, folder, large).result()


def sample_cases(folder: Path, large: bool) -> list[Case]:
    """The cases of the first photo of the sample that is read in all of them, or else of the first
    of those that are read in most."""
    best: tuple[int, PhotoTruth] | None = None
    for truth in filter(_is_clear, read_manifest(SAMPLE / "manifest.jsonl")):
        cases = _cases_of(truth, folder)
        count = sum(map(_is_read, cases))
        if best is None or count > best[0]:
            best = count, truth
        if cases and count == len(cases):
            break
    if best is None:
        raise SystemExit("The sample has no photo of a plug with a chart of its lamp.")
    cases = _cases_of(best[1], folder)
    cases.append(_case_far_off(folder))
    if large:
        picture = _picture(best[1])
        cases.append(Case("no reference", enlarged(folder, picture, LARGE_PIXELS, "large")))
    return cases


def _cases_of(truth: PhotoTruth, folder: Path) -> list[Case]:
    """The photo as it is, beside its chart, and under the light kept from that; none where the
    chart is refused."""
    stored = stored_light_of(SAMPLE, truth)
    if stored is None:
        return []
    plain = enlarged(folder, _picture(truth), PIXELS, "plain")
    return [
        Case("no reference", plain),
        Case(
            "a chart in it",
            enlarged(folder, _beside_chart(truth), PIXELS, "chart"),
            limit=WHOLE_WITH_CHART,
        ),
        Case("a stored light", plain, Said(stored=stored)),
    ]


def _is_clear(truth: PhotoTruth) -> bool:
    return truth.stored_light is not None and truth.plug is not None and truth.plug.nose_px >= 60


def _is_read(case: Case) -> bool:
    (one, *_) = reading.read(str(case.photo), Ask(light=case.said))
    return one.outcome == "read"


def _picture(truth: PhotoTruth) -> NDArray[np.uint8]:
    return _pixels(SAMPLE / truth.file)


def _beside_chart(truth: PhotoTruth) -> NDArray[np.uint8]:
    """The photo and that of the chart under its lamp by its camera, side by side."""
    assert truth.stored_light is not None
    left, right = _picture(truth), _pixels(SAMPLE / truth.stored_light.file)
    size = (round(right.shape[1] * left.shape[0] / right.shape[0]), left.shape[0])
    return np.hstack([left, np.asarray(cv2.resize(right, size), np.uint8)])


def _case_far_off(folder: Path) -> Case:
    """The first photo of the sample that is read when a wide edge round it makes its nose
    `FAR_OFF_PX` across at `PIXELS`."""
    for truth in read_manifest(SAMPLE / "manifest.jsonl"):
        picture = _picture(truth)
        height, width = picture.shape[:2]
        if truth.plug is None:
            continue
        grown = (PIXELS / (height * width)) ** 0.5 * truth.plug.nose_px / FAR_OFF_PX
        down, across = (max(0, round((grown - 1) * side / 2)) for side in (height, width))
        edged = cv2.copyMakeBorder(picture, down, down, across, across, cv2.BORDER_REPLICATE)
        path = enlarged(folder, np.asarray(edged, np.uint8), PIXELS, "far-off")
        case = Case("a nose too small for half scale", path, limit=WHOLE_IN_FULL)
        if _is_read(case):
            return case
    raise SystemExit("The sample has no photo that is read from far off.")


def _pixels(path: Path) -> NDArray[np.uint8]:
    pixels = cv2.imread(str(path))
    assert pixels is not None, path
    return np.asarray(pixels, np.uint8)


def enlarged(folder: Path, small: NDArray[np.uint8], pixels: float, name: str) -> Path:
    """A picture as a dense JPEG of about so many pixels."""
    scale = (pixels / (small.shape[0] * small.shape[1])) ** 0.5
    size = (round(scale * small.shape[1]), round(scale * small.shape[0]))
    return dense_jpeg(folder / f"{name}.jpg", small, size, 92)


if __name__ == "__main__":
    sys.exit(main())
