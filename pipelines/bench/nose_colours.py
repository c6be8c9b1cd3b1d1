"""The colour of noses, the whole way from the file, against what was rendered.

`python -m pipelines.bench.nose_colours --photos DIR` reads each photo of a developed studio set
(look *report* for figures to quote) as the command does, the photo of its stored light first where
one goes with it, and prints by source of light, with and without local tone mapping: median
CIEDE2000 to the true colour (`nose_lab` of the manifest) with its 95 % interval, the same once the
measured colour is brought to the true luminance (what is left is the cast: how much light arrives
in the bore is told by no reference), how often the stated 95 % region holds the true colour, and
the median half-width of that region in L*. Grey cards found and seen where none is are counted as
well.
"""

import argparse
import collections
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import median_interval, rate_line
from pipelines.bench.light_simulation import CHI_SQUARED_95
from pipelines.light.rows import stored_light_of
from pipelines.studio.truth import PhotoTruth, PlugTruth, read_manifest
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import lab_to_xyz, xyz_to_lab
from tipvision.light.find_grey import find_grey_card
from tipvision.light.said import Said
from tipvision.photo.photo import open_photo
from tipvision.reading import EVERY_PLUG, Ask, read
from tipvision.record.reading import Reading

Array = NDArray[np.float64]
LIMITS = {"chart": 2.0, "bench_card": 3.0, "grey_card": 3.0, "stored": 3.0}  # CIEDE2000, asked for
LEAST_LUMINANCE = 1e-4  # of a measured colour, by which none is divided
MOST_LOCAL = 4.0  # the same with a chart under local tone mapping


@dataclass(frozen=True)
class Colour:
    """One nose that was found and whose colour is known.

    source: of the light, without a stored light's name. local: whether the camera mapped tones
    locally. missed: CIEDE2000. cast: the same at the true luminance. held: whether the 95 % region
    holds the true colour. half_width: of the middle 95 % of the samples, L*.
    """

    source: str
    local: bool
    missed: float
    cast: float
    held: bool
    half_width: float


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--photos", type=Path, required=True, metavar="DIR", help="developed set")
    options = parser.parse_args(arguments)
    cv2.setNumThreads(1)
    try:
        truths = list(read_manifest(options.photos / "manifest.jsonl"))
    except (OSError, ValueError) as error:
        parser.error(f"{options.photos} is no developed set: {error}")
    found = [colour for truth in truths for colour in colours_of(options.photos, truth)]
    passed = report(found)
    count_greys(options.photos, truths)
    return int(not passed)


def colours_of(folder: Path, truth: PhotoTruth) -> Iterator[Colour]:
    """The noses of one photo that were read and whose colour is known."""
    if not any(plug.nose_lab and plug.box for plug in truth.plugs):
        return
    said = Said(stored=stored_light_of(folder, truth))
    for reading in read(str(folder / truth.file), Ask(light=said, plug=EVERY_PLUG)):
        plug = plug_of(reading, truth.plugs)
        if plug is None or plug.nose_lab is None:
            continue
        assert reading.measurement is not None and reading.light is not None
        samples, true = reading.measurement.samples, np.array(plug.nose_lab)
        away = true - samples.mean(axis=0)
        low, high = np.quantile(samples[:, 0], (0.025, 0.975))
        yield Colour(
            source=reading.light.source.partition(":")[0],
            local=truth.taken.local_tone > 0,
            missed=float(ciede2000(reading.measurement.lab, true)),
            cast=float(ciede2000(at_luminance_of(true, reading.measurement.lab), true)),
            held=bool(away @ np.linalg.solve(np.cov(samples.T), away) <= CHI_SQUARED_95),
            half_width=float(high - low) / 2,
        )


def at_luminance_of(wanted: Array, lab: Array) -> Array:
    """CIELAB (3,) of the second colour, brighter or darker by the luminance of the first."""
    xyz, aim = lab_to_xyz(lab), lab_to_xyz(wanted)
    return xyz_to_lab(xyz * aim[1] / max(xyz[1], LEAST_LUMINANCE))


def plug_of(reading: Reading, plugs: Sequence[PlugTruth]) -> PlugTruth | None:
    """The one true plug in whose box the middle of the measured tip lies, or None."""
    if reading.measurement is None or len(reading.tips) != 1:
        return None
    box = reading.tips[0].box
    x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
    within = [
        plug
        for plug in plugs
        if plug.box is not None
        and plug.box[0] <= x <= plug.box[0] + plug.box[2]
        and plug.box[1] <= y <= plug.box[1] + plug.box[3]
    ]
    return within[0] if len(within) == 1 else None


def report(found: Sequence[Colour]) -> bool:
    """Prints a block a source; whether every median that is asked for was kept."""
    passed = True
    for source in sorted({colour.source for colour in found}):
        for local in (False, True):
            some = [c for c in found if c.source == source and c.local == local]
            if not some:
                continue
            median, (low, high) = median_interval([c.missed for c in some])
            cast, (least, most) = median_interval([c.cast for c in some])
            limit = LIMITS.get(source) if not local else {"chart": MOST_LOCAL}.get(source)
            asked = "" if limit is None else f" (limit {limit})"
            passed &= limit is None or median <= limit
            tones = "with local tone mapping" if local else "plain"
            print(
                f"{source}, {tones}: median CIEDE2000 {median:.1f}{asked}, 95 % interval "
                f"{low:.1f} to {high:.1f}, n {len(some)}; median half-width "
                f"{np.median([c.half_width for c in some]):.0f} L*"
            )
            print(
                f"  at the true luminance: median CIEDE2000 {cast:.1f}, 95 % interval {least:.1f} "
                f"to {most:.1f}"
            )
            print("  " + rate_line("within the region", sum(c.held for c in some), len(some)))
    return passed


def count_greys(folder: Path, truths: Sequence[PhotoTruth]) -> None:
    """Prints how many grey cards are found by themselves, and seen where none is."""
    counts: collections.Counter[str] = collections.Counter()
    for truth in truths:
        photo = open_photo(str(folder / truth.file))
        cards = [r for r in truth.references if r.kind == "grey_card"]
        whole = any("whole" in card.state for card in cards)
        kind = "whole" if whole else "cut off" if cards else "other" if truth.references else "none"
        counts[f"all {kind}"] += 1
        counts[f"seen {kind}"] += find_grey_card(photo.overview(), photo.size) is not None
    for kind, words in {
        "whole": "grey cards found, whole",
        "cut off": "grey cards found, cut off by the frame",
        "other": "grey cards seen where another reference lies",
        "none": "grey cards seen where nothing lies",
    }.items():
        print(rate_line(words, counts[f"seen {kind}"], counts[f"all {kind}"]))


if __name__ == "__main__":
    sys.exit(main())
