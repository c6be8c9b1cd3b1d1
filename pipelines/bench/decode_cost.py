"""What decoding a photo costs a reading, and how far half scale moves the colour of a nose.

`python -m pipelines.bench.decode_cost [--photos JPEG …] [--runs N]`. Costs are CPU time of one
thread, in units of one full decode of the same photo by OpenCV, medians of turns; without photos
they are taken of the demo photos, enlarged to 12 megapixels with fresh noise. Colours are ΔE00
between the mean linear light of a nose at full and at half scale; without photos they are taken of
the labelled sample as it is.
"""

import argparse
import io
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.bench.budget import PIXELS, SAMPLE, enlarged
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ, linear_table
from tipvision.measure.reduced import window_on
from tipvision.photo.box import Box
from tipvision.photo.decode import decoded
from tipvision.photo.header import Header, header_of
from tipvision.photo.photo import HALF_SERVES_PX, Photo, open_photo
from tipvision.photo.pixels import Pixels
from tipvision.shipped import demo_folder
from tipvision.tip.closer import full_pixels
from tipvision.tip.search import search_tips
from tipvision.tip.tip import Part, Tip

MOST_RATIO = 0.45
MOST_SHIFT = 0.3


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--photos", nargs="+", type=Path, metavar="FILE", default=[])
    parser.add_argument("--runs", type=int, default=9)
    options = parser.parse_args()
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as folder:
        photos = options.photos or enlarged_demos(Path(folder))
        costs = [cost_of(path, options.runs) for path in photos]
    natives = options.photos or sorted(SAMPLE.glob("[0-9][0-9][0-9].jpg"))
    shifts = [shift for path in natives for shift in shifts_of(path)]
    half = statistics.median(costs)
    print(f"half scale: {half:.2f} of imread, median of {len(costs)} photos (limit {MOST_RATIO})")
    if not shifts:
        print("no nose is wide enough for half scale")
        return 1
    middle = statistics.median(shifts)
    print(
        f"nose at half scale: ΔE00 {middle:.3f} median, {max(shifts):.3f} at most, "
        f"{len(shifts)} noses (limit {MOST_SHIFT} median)"
    )
    return int(half > MOST_RATIO or middle > MOST_SHIFT)


def enlarged_demos(folder: Path) -> list[Path]:
    """Every demo photo at 12 megapixels."""
    demos = [(path.stem, cv2.imread(str(path))) for path in sorted(demo_folder().glob("*.jpg"))]
    return [enlarged(folder, np.asarray(demo, np.uint8), PIXELS, name) for name, demo in demos]


def cost_of(path: Path, runs: int) -> float:
    """CPU of decoding a JPEG at half scale over that of `cv2.imread`; other ways are printed."""
    begun = open_photo(str(path))
    tips = _tips(begun)
    _asked(begun, tips)
    stream, header = _undecoded(path)
    decodes = "+".join("half" if scale == 2 else "full" for scale in begun.decodes)
    ways: dict[str, Callable[[], object]] = {
        "imread": lambda: cv2.imread(str(path)),
        "half scale": lambda: decoded(stream, header, half=True),
        "full": lambda: decoded(stream, header, half=False),
        "overview": lambda: open_photo(str(path)).overview(),
        "as a reading asks": lambda: _asked(open_photo(str(path)), tips),
    }
    spent: dict[str, list[float]] = {way: [] for way in ways}
    for _ in range(runs + 1):
        for way, work in ways.items():
            begin = time.process_time()
            work()
            spent[way].append(time.process_time() - begin)
    # the first turn warms caches
    middle = {way: statistics.median(times[1:]) for way, times in spent.items()}
    ratios = {way: middle[way] / middle["imread"] for way in ways}
    print(
        f"{path.name}, {begun.size[0]} x {begun.size[1]}, {path.stat().st_size / 1e6:.1f} MB: "
        f"imread {middle['imread']:.3f} s; half scale {ratios['half scale']:.2f}, full "
        f"{ratios['full']:.2f}, open and overview {ratios['overview']:.2f}, with windows "
        f"{ratios['as a reading asks']:.2f}; a reading decodes {decodes}"
    )
    return ratios["half scale"]


def shifts_of(path: Path) -> list[float]:
    """ΔE00 of every nose in a photo from half the width on at which half scale serves.

    The photo stays as it is: enlarged, it would have nothing fine to lose.
    """
    photo = open_photo(str(path))
    if photo.metadata.orientation != 1:
        return []
    tips = [tip for tip in _tips(photo) if tip.nose_px >= HALF_SERVES_PX]
    stream, header = _undecoded(path)
    full, half = (decoded(stream, header, half) for half in (False, True))
    return [float(ciede2000(_lab(full, tip, 1), _lab(half, tip, 2))) for tip in tips]


def _undecoded(jpeg: Path) -> tuple[io.BytesIO, Header]:
    stream = io.BytesIO(jpeg.read_bytes())
    return stream, header_of(stream, "JPEG", affordable=lambda _: None)


def _tips(photo: Photo) -> tuple[Tip, ...]:
    return search_tips(photo.overview(), photo.size, closer=full_pixels(photo)).tips


def _asked(photo: Photo, tips: tuple[Tip, ...]) -> None:
    photo.overview()
    for tip in tips:
        window_on(photo, tip)


def _lab(pixels: Pixels, tip: Tip, scale: int) -> NDArray[np.float64]:
    """Colour of the mean light of a nose, in pixels decoded at that scale."""
    x0, y0, x1, y1 = (n // scale for n in (tip.box.x0, tip.box.y0, tip.box.x1, tip.box.y1))
    linear = linear_table()[pixels.codes(Box(x0, y0, x1, y1))]
    labels = cv2.resize(tip.labels, (x1 - x0, y1 - y0), interpolation=cv2.INTER_NEAREST)
    return xyz_to_lab(linear[labels == Part.NOSE].mean(axis=0, dtype=np.float64) @ RGB_TO_XYZ.T)


if __name__ == "__main__":
    sys.exit(main())
