"""The chart and a stored light, the whole way through a file: do colours repeat?

`python -m pipelines.bench.through_a_file` draws a sheet with the 24-patch chart and squares of
nose-like matters from published spectra, as `light_simulation` has them, writes JPEGs with EXIF as
a phone does, plain and under a phone's tone curve, and reads them again. It prints

- the same squares under twelve lamps, each photo corrected by its own chart: the standard deviation
  of a square's colour, CIEDE2000 to the mean colour;
- how far exposures of one stop less and more move a square's colour, by the chart in each photo,
  and by a light that was stored at the middle exposure, for photos without a chart.
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.bench.light_simulation import (
    CAMERAS,
    LAMPS,
    NOSES,
    WHITE_LEVEL,
    chart_reflectances,
    daylight_matrix,
    nose_reflectances,
    seen_by,
)
from pipelines.studio.camera_tone import tone
from pipelines.studio.stored import ShotData, write_jpeg
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.editions import COLUMNS, ROWS
from tipvision.light.chart.find import find_chart
from tipvision.light.from_chart import fit_of_chart
from tipvision.light.know import know_light
from tipvision.light.said import Said
from tipvision.light.stored import StoredLight, conditions_of
from tipvision.photo.box import Box
from tipvision.photo.photo import Photo, open_photo

Array = NDArray[np.float64]

TWELVE = (*LAMPS, "FL7", "FL8", "LED-B5")
EXPOSED = ("D65", "A", "LED-B3")  # lamps under which the exposure is changed
EDITION = "before_2014_11"  # the published spectra are averages of older charts
STEP, SIDE, READ = 120, 100, 84  # pixels from patch to patch, of a patch, and of what is read
WHITE = 0.45  # nominal light of a white at the middle exposure: one stop more does not clip it
GROUND, FRAME = 0.25, 0.03  # reflectances
# 8-bit codes, standard deviation: from pixel to pixel, and in blotches of so many pixels. Without
# these an even square has one step of a JPEG's chroma all over, which no real surface has.
NOISE, BLOTCHES, BLOTCH = 1.5, 1.0, 5.0
QUALITY = 92
CONTRAST = 0.5  # of the phone's S-curve
MOST_SPREAD, MOST_MOVED = 1.0, 0.5  # CIEDE2000 that are asked for


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--cameras", nargs="+", default=list(CAMERAS), choices=CAMERAS)
    options = parser.parse_args(arguments)
    passed = True
    with tempfile.TemporaryDirectory() as name:
        for contrast, words in ((0.0, "plain"), (CONTRAST, "with a phone's tone curve")):
            passed &= report(Path(name), options.cameras, contrast, words)
    return int(not passed)


def report(folder: Path, cameras: Sequence[str], contrast: float, words: str) -> bool:
    """Prints three lines; whether the medians kept what is asked for."""
    spread = np.concatenate([spread_over_lamps(folder, name, contrast) for name in cameras])
    print(
        f"{words}: standard deviation over {len(TWELVE)} lamps, median {np.median(spread):.2f} "
        f"(limit {MOST_SPREAD}), worst {spread.max():.2f}"
    )
    passed = bool(np.median(spread) <= MOST_SPREAD)
    for how, stored in (("the chart", False), ("a stored light", True)):
        moves = np.concatenate(
            [moved(folder, *one, contrast, stored) for one in product(cameras, EXPOSED)]
        )
        print(
            f"{words}: a stop less or more by {how} moves a colour by {np.median(moves):.2f} "
            f"(median, limit {MOST_MOVED}), {moves.max():.2f} (worst)"
        )
        passed &= bool(np.median(moves) <= MOST_MOVED)
    return passed


def spread_over_lamps(folder: Path, name: str, contrast: float) -> Array:
    """Standard deviation (n,) of each matter's colour over the lamps, CIEDE2000 to the mean."""
    labs = np.stack([colours(taken(folder, name, lamp, contrast, 0)) for lamp in TWELVE])
    away = ciede2000(labs, np.broadcast_to(labs.mean(axis=0), labs.shape))
    return np.asarray(np.sqrt((away**2).mean(axis=0)))


def moved(folder: Path, name: str, lamp: str, contrast: float, stored: bool) -> Array:
    """CIEDE2000 (2 n,) from the middle exposure's colours to those of a stop less and a stop more:
    each by the chart in its own photo, or by a light stored from the middle one."""
    light = chart_light(taken(folder, name, lamp, contrast, 0)) if stored else None
    middle, *others = (
        colours(taken(folder, name, lamp, contrast, stops, not stored), light)
        for stops in (0, -1, 1)
    )
    return np.concatenate([ciede2000(other, middle) for other in others])


def taken(
    folder: Path, name: str, lamp: str, contrast: float, stops: int, with_chart: bool = True
) -> Photo:
    """A photo of the squares, with the chart or without, `stops` brighter, from its file."""
    matters, chart = nose_reflectances()[: len(NOSES)], chart_reflectances()
    even = np.ones((1, matters.shape[1]))
    parts = {"matter": matters, "chart": chart, "ground": GROUND * even, "frame": FRAME * even}
    gain = WHITE / WHITE_LEVEL * 2.0**stops
    seen = {key: gain * seen_by(name, lamp, part) for key, part in parts.items()}
    matrix = daylight_matrix(name)
    picture = np.empty((STEP * (ROWS + 5), STEP * (COLUMNS + 2), 3))
    picture[:] = seen["ground"] @ matrix
    if with_chart:
        picture[STEP // 2 : STEP * ROWS + 3 * STEP // 2, STEP // 2 : -STEP // 2] = (
            seen["frame"] @ matrix
        )
        for number, colour in enumerate(seen["chart"] @ matrix):
            box = square(number % COLUMNS, number // COLUMNS, SIDE)
            picture[box.y0 : box.y1, box.x0 : box.x1] = colour
    for number, colour in enumerate(seen["matter"] @ matrix):
        box = square(*matter_place(number), SIDE)
        picture[box.y0 : box.y1, box.x0 : box.x1] = colour
    codes = 255 * tone(cv2.GaussianBlur(picture, (0, 0), 1.0), contrast)
    rng = np.random.default_rng((TWELVE.index(lamp), stops + 1, int(with_chart)))
    blotches = cv2.GaussianBlur(rng.normal(size=codes.shape), (0, 0), BLOTCH)
    codes += BLOTCHES * blotches / blotches.std() + rng.normal(0, NOISE, codes.shape)
    codes = np.clip(np.round(codes), 0, 255)
    told = ShotData("2026:01:01 12:00:00", (2 ** (stops + 1), 200), 100, 2.0, 5.0, False, False, 1)
    path = folder / "photo.jpg"
    write_jpeg(path, codes.astype(np.uint8), told, QUALITY, 10_000_000)
    return open_photo(str(path))


def chart_light(photo: Photo) -> StoredLight:
    """The light by the chart in a photo. Raises ValueError where it is not found or refused."""
    overview = photo.overview()
    view = find_chart(overview, photo.size)
    if view is None:
        raise ValueError("the drawn chart was not found")
    fit = fit_of_chart(photo, view, EDITION)
    if fit.correction is None or fit.samples is None:
        raise ValueError(f"the drawn chart was refused: {fit.reason}")
    taken_with = conditions_of(photo.metadata, overview)
    return StoredLight("lamp", fit.correction, fit.samples, fit.verdict, fit.mean, taken_with)


def colours(photo: Photo, stored: StoredLight | None = None) -> Array:
    """CIELAB (n, 3) of the squares by the stored light, or by the chart in the photo.

    Raises ValueError where the light is not the one that was meant.
    """
    light, _ = know_light(photo, photo.overview(), Said(stored=stored, chart_edition=EDITION))
    if light.source != ("chart" if stored is None else "stored:lamp"):
        raise ValueError(f"the light of a drawn photo is {light.source}: {light.notes}")
    boxes = [square(*matter_place(number), READ) for number in range(len(NOSES))]
    means = [photo.window(box, SIDE).linear.reshape(-1, 3).mean(axis=0) for box in boxes]
    return xyz_to_lab(light.correction.xyz(np.array(means, np.float64)))


def square(column: int, row: int, side: int) -> Box:
    """A square of that side in the middle of a place of the sheet."""
    x, y = STEP * (column + 1) + STEP // 2, STEP * (row + 1) + STEP // 2
    half = side // 2
    return Box(x - half, y - half, x + half, y + half)


def matter_place(number: int) -> tuple[int, int]:
    """Column and row of a matter, in two rows under the chart."""
    return number % 4 + 1, ROWS + 1 + number // 4


if __name__ == "__main__":
    sys.exit(main())
