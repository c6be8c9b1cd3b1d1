"""What finding the firing ends costs, against one full decode of the photo by OpenCV.

`python -m pipelines.bench.tip_cost [PHOTO …] [--runs N]`. Without photos a demo photo is enlarged
to 12 and to 48 megapixels. Both run in this process on one thread and take turns; the photo's own
decoding is not the tip's cost, so the overview and the full pixels are there before the clock runs.
"""

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path

import cv2

from pipelines.bench.whole_process import enlarged
from tipvision.photo.box import Box
from tipvision.photo.photo import open_photo
from tipvision.tip.closer import full_pixels
from tipvision.tip.search import search_tips

MOST_RATIO = 0.30
WIDTHS = (4032, 8064)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("photos", nargs="*", type=Path, metavar="PHOTO")
    parser.add_argument("--runs", type=int, default=9)
    options = parser.parse_args()
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as folder:
        photos = options.photos or [enlarged(Path(folder), width) for width in WIDTHS]
        ratios = [ratio_of(photo, options.runs) for photo in photos]
    return int(max(ratios) > MOST_RATIO)


def ratio_of(path: Path, runs: int) -> float:
    """CPU time of the tip stage over that of `cv2.imread`, medians; printed and handed back."""
    photo = open_photo(str(path))
    overview, closer = photo.overview(), full_pixels(photo)
    closer(Box(0, 0, *photo.size), 64)
    peer, ours, found = [], [], 0
    for _ in range(runs + 1):
        begin = time.process_time()
        cv2.imread(str(path))
        between = time.process_time()
        found = len(search_tips(overview, photo.size, closer=closer).tips)
        peer.append(between - begin)
        ours.append(time.process_time() - between)
    # the first turn warms caches and loads the net
    decoding, finding = statistics.median(peer[1:]), statistics.median(ours[1:])
    ratio = finding / decoding
    print(
        f"{path.name}, {photo.size[0]} x {photo.size[1]}, {found} found: decode {decoding:.3f} s, "
        f"find {finding:.3f} s of CPU (medians of {runs}); ratio {ratio:.2f} (limit {MOST_RATIO})"
    )
    return ratio


if __name__ == "__main__":
    sys.exit(main())
