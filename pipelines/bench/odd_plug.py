"""How often the odd plug of a set is named, and how often one is named where none is odd.

`python -m pipelines.bench.odd_plug [--runs N]`. Four plugs under one light are simulated, not
photographed: noses of one colour with the ordinary spread of an engine, a light whose cast and
level are off by what an estimate's doubt says, and bores that each take a part of the light, with
the wider of the two spreads that the shipped light at the nose has for plugs seen end-on, three
quarters of its variance in common, as among rendered plugs. A line for bores that have nothing in
common says what a wrong guess of that costs. The command fails when the false alarms pass what is
promised.
"""

import argparse
import sys
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line, wilson
from tipvision.colour.lab import lab_to_xyz, xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.comparison.doubt import ORDINARY_SPREAD
from tipvision.comparison.odd_one import FALSE_ALARM, compare
from tipvision.light.at_the_nose import default_nose_light
from tipvision.light.correction import Correction
from tipvision.light.doubt import EXPOSURE_SD, doubtful, recast
from tipvision.light.draws import gaussian_draws
from tipvision.light.estimate import CAST_SD
from tipvision.light.light import Light
from tipvision.measure.bands import BAND_NAMES
from tipvision.measure.measurement import Measurement
from tipvision.photo.box import Box
from tipvision.record.reading import Reading
from tipvision.tip.tip import Tip

PLUGS, ODD = 4, 2
IN_COMMON = 0.75  # share of the bores' variance
_NOSE = default_nose_light()
BORE_SD = max(_NOSE.measured["end_on"].sd, _NOSE.metered["end_on"].sd)  # as a logarithm
NOSES = {"dark": 25.0, "tan": 62.0, "pale": 85.0}  # L*
DARKER = (10.0, 20.0, 30.0, 40.0)  # L* by which the odd plug is
LIGHT = Light("estimate", Correction(RGB_TO_XYZ), doubtful(RGB_TO_XYZ, CAST_SD, EXPOSURE_SD))
TIP = Tip(Box(0, 0, 8, 8), np.zeros((8, 8), np.uint8), (), 100.0, "end_on", 1.0)
TO_RGB = np.linalg.inv(RGB_TO_XYZ)

Array = NDArray[np.float64]


def readings_of(seed: int, lightness: float, darker: float, shared: float) -> list[Reading]:
    """Four plugs of one engine in one photo.

    darker: L* by which plug `ODD` is darker. shared: 0 to 1, share of the bores' variance that the
    plugs have in common.
    """
    random = np.random.default_rng(seed)
    red, blue, level = random.standard_normal(3) * (CAST_SD, CAST_SD, EXPOSURE_SD)
    light = np.exp(np.array([red, 0.0, blue]) + level)
    common = random.standard_normal()
    plugs = []
    for plug in range(PLUGS):
        colour = np.array([lightness - darker * (plug == ODD), 2.0, 8.0])
        true = colour + ORDINARY_SPREAD * random.standard_normal(3)
        own = random.standard_normal()
        bore = BORE_SD * (np.sqrt(shared) * common + np.sqrt(1.0 - shared) * own)
        true[0] = max(true[0], 1.0)
        plugs.append(_reading(TO_RGB @ lab_to_xyz(true) * light * np.exp(bore)))
    return plugs


def _reading(seen: Array) -> Reading:
    """What the tool makes of a nose that the camera saw as this linear sRGB."""
    bore = np.repeat(BORE_SD * gaussian_draws(4)[:, 3:], 3, axis=1)
    samples = xyz_to_lab(recast(LIGHT.samples, bore).xyz(seen))
    lab = xyz_to_lab(LIGHT.correction.xyz(seen))
    measured = Measurement(
        lab=lab,
        sd=samples.std(axis=0),
        samples=samples,
        zones=lab[None],
        weights=np.ones(1),
        bands=dict.fromkeys(BAND_NAMES, 0.0),
        shares=dict.fromkeys(BAND_NAMES, 0.25),
        shine=1.0,
        texture=0.0,
        evenness=0.0,
        specks=0.0,
        glare=0.0,
        clipped=0.0,
    )
    return Reading("set.jpg", "unclear", light=LIGHT, tips=(TIP,), measurement=measured)


def named(runs: int, lightness: float, darker: float, shared: float) -> tuple[int, int]:
    """In how many of `runs` sets any plug is named, and in how many exactly the odd one."""
    any_, right = 0, 0
    for seed in range(runs):
        apart = compare(readings_of(seed, lightness, darker, shared)).by_colour
        any_ += bool(apart)
        right += [one.plug for one in apart] == [ODD]
    return any_, right


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the rates; 1 where the false alarms are more than promised."""
    parser = argparse.ArgumentParser(prog="python -m pipelines.bench.odd_plug")
    parser.add_argument("--runs", type=int, default=300, help="sets for each line (%(default)s)")
    runs = parser.parse_args(arguments).runs
    passed = True
    for name, lightness in NOSES.items():
        print(f"{name} noses, L* {lightness:.0f}")
        alarms, _ = named(runs, lightness, 0.0, IN_COMMON)
        wrongly, _ = named(runs, lightness, 0.0, 0.0)
        print("  " + rate_line("none is odd, one is named", alarms, runs))
        print("  " + rate_line("the same, bores with nothing in common", wrongly, runs))
        passed &= wilson(alarms, runs)[0] <= FALSE_ALARM
    print("tan noses, one darker")
    for darker in DARKER:
        _, right = named(runs, NOSES["tan"], darker, IN_COMMON)
        print("  " + rate_line(f"by {darker:.0f} L*, the odd one is named alone", right, runs))
    return 0 if passed else 1


if __name__ == "__main__":
    sys.exit(main())
