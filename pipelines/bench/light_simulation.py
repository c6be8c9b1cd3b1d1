"""How well the chart tells a nose's colour, with spectra instead of photos.

`python -m pipelines.bench.light_simulation [--draws N]`. Published camera sensitivities and lamps
(reference library: colour-science) see the published spectra of the 24-patch chart; the correction
fitted to it is asked for colours that are not on it: nose-like matters of the studio
(`reflectances.toml`, our estimate), and the skins and greys of a published set of reflectances, of
which skins are tans. The fit's own settings (degree of the shading, width of its samples) were
picked after a look at these figures, so their coverage is not a blind one. Printed are medians of
CIEDE2000 under D65, without error and with 0.4 % of error in each channel of each patch, and how
often the 95 % region of the samples holds the true colour. The same is printed for `--cases` cases
in which nothing is known of the light (`unknown_light`), with the median half-width of the region:
the CIEDE2000 from its middle within which 95 % of the samples lie.
"""

import argparse
import sys
from collections.abc import Sequence
from functools import cache
from itertools import cycle, product

import numpy as np
from numpy.typing import NDArray

from pipelines.bench.intervals import rate_line
from pipelines.bench.unknown_light import JUDGED, SET_BY, Bench, seen_unknown
from pipelines.studio.lights.spectra import FINE, camera, illuminant, observer
from pipelines.studio.materials.spectra import hats, matter
from tipvision.colour.chromaticity import D65_WHITE
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.colour.srgb import RGB_TO_XYZ
from tipvision.light.chart.editions import Edition
from tipvision.light.chart.fit import fit_chart
from tipvision.light.chart.patches import Patches
from tipvision.light.correction import Correction
from tipvision.light.estimate import estimated_light

Array = NDArray[np.float64]

CAMERAS = ("A", "B")
LAMPS = ("D65", "D50", "A", "FL2", "FL4", "FL11", "LED-B1", "LED-B3", "LED-V1")
NOSES = ("chalk", "pale_grey", "light_tan", "tan", "grey_brown", "dark_brown", "soot", "loose_soot")
WHITE_LEVEL = 0.8  # nominal light of a perfect white
PATCH_ERROR = 0.004
MOST_CLEAN, MOST_NOISY = 0.8, 1.8  # medians of CIEDE2000 that are asked for
LEAST_HELD, MOST_HELD, MOST_WIDTH = 0.93, 0.97, 12.0  # and of an unknown light's 95 % region
# Doubts were set by these, and by none of those above.
SETTING_CAMERAS = ("A1", "A2", "A3", "A4", "B1", "B2", "B3", "B4")
SETTING_LAMPS = (
    *("FL1", "FL3", "FL5", "FL7", "FL8", "FL10", "FL12"),
    *("LED-B2", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V2"),
)
CHI_SQUARED_95 = 7.8147  # three degrees of freedom (reference library: scipy, see the tests)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--draws", type=int, default=10, help="of patch errors (default 10)")
    parser.add_argument("--cases", type=int, default=2000, help="of unknown light (default 2000)")
    options = parser.parse_args(arguments)
    rng = np.random.default_rng(0)
    print("lamp: median CIEDE2000 of nose colours without error, with 0.4 % of patch error")
    cleans, noisies = [], []
    for lamp in LAMPS:
        clean = [_look(name, lamp, None) for name in CAMERAS]
        noisy = [_look(name, lamp, rng) for name in CAMERAS for _ in range(options.draws)]
        print(f"  {lamp}: {median_of(clean):.2f}, {median_of(noisy):.2f}")
        cleans += clean
        noisies += noisy
    clean_median, noisy_median = median_of(cleans), median_of(noisies)
    print(f"all lamps: {clean_median:.2f} (limit {MOST_CLEAN}), {noisy_median:.2f} ({MOST_NOISY})")
    print(rate_line("charts refused", sum(one is None for one in noisies), len(noisies)))
    answers = [one for one in noisies if one is not None]
    held, count = (sum(numbers) for numbers in zip(*((h, len(m)) for m, h in answers), strict=True))
    print(rate_line("true colour within the 95 % region", held, count))
    set_by = unknown(SET_BY, SETTING_LAMPS, SETTING_CAMERAS, options.cases // 2, seed=1)
    print(rate_line("unknown light, on the lamps and benches its doubt was set by", *set_by[:2]))
    held, count, width, missed = unknown(JUDGED, LAMPS, CAMERAS, options.cases, seed=0)
    print(rate_line("unknown light: true colour within the 95 % region", held, count))
    print(
        f"unknown light: median half-width {width:.1f} (limit {MOST_WIDTH}), median CIEDE2000 "
        f"{missed:.1f}"
    )
    wrong = not LEAST_HELD <= held / count <= MOST_HELD or width > MOST_WIDTH
    return int(clean_median > MOST_CLEAN or noisy_median > MOST_NOISY or wrong)


def unknown(
    bench: Bench, lamps: Sequence[str], cameras: Sequence[str], cases: int, seed: int
) -> tuple[int, int, float, float]:
    """How often the estimate's region holds a nose's true colour, of how many cases, the region's
    median half-width, and the median CIEDE2000 of its middle."""
    rng = np.random.default_rng(seed)
    noses = nose_reflectances()
    true = xyz_to_lab(xyz_of(noses))
    held, widths, misses = 0, [], []
    for _, (name, lamp) in zip(range(cases), cycle(product(cameras, lamps)), strict=False):
        matrix = daylight_matrix(name)
        overview, rgb = seen_unknown(rng, name, lamp, matrix, bench, noses)
        one = [int(rng.integers(len(noses)))]
        light, seen = estimated_light(overview), np.maximum(rgb[one], 0.0)
        middle = xyz_to_lab(light.correction.xyz(seen))
        around = xyz_to_lab(light.samples.xyz(seen))[:, 0]
        held += held_by(light.samples, seen, true[one])
        widths.append(float(np.quantile(ciede2000(around, middle), 0.95)))
        misses.append(float(ciede2000(middle, true[one])[0]))
    return held, cases, float(np.median(widths)), float(np.median(misses))


def median_of(looks: Sequence[tuple[Array, int] | None]) -> float:
    """Median CIEDE2000 over the charts that were not refused; infinity where all were."""
    misses = [look[0] for look in looks if look is not None]
    return float(np.median(np.concatenate(misses))) if misses else float("inf")


def _look(name: str, lamp: str, rng: np.random.Generator | None) -> tuple[Array, int] | None:
    """CIEDE2000 (n,) of the nose colours under a chart's correction, and how many of them lie in
    the 95 % region of its samples; None where the chart is refused. `rng` draws the patches'
    errors."""
    chart, noses = chart_reflectances(), nose_reflectances()
    light = seen_by(name, lamp, chart)
    error = PATCH_ERROR * light
    if rng is not None:
        light = light + rng.normal(size=light.shape) * error
    patches = Patches(light, error, error, np.zeros(24), np.full(24, 1000))
    fit = fit_chart(patches, Edition("as measured", "the spectra themselves", xyz_of(chart)))
    if fit.correction is None or fit.samples is None:
        return None
    true, rgb = xyz_to_lab(xyz_of(noses)), seen_by(name, lamp, noses)
    return ciede2000(xyz_to_lab(fit.correction.xyz(rgb)), true), held_by(fit.samples, rgb, true)


def held_by(samples: Correction, rgb: Array, true: Array) -> int:
    """How many of the true colours, CIELAB (n, 3), lie in the ellipsoid that holds 95 % of a normal
    distribution with the mean and covariance of the samples' colours."""
    count = 0
    for colours, lab in zip(np.moveaxis(xyz_to_lab(samples.xyz(rgb)), 1, 0), true, strict=True):
        away = lab - colours.mean(axis=0)
        count += int(away @ np.linalg.solve(np.cov(colours.T), away) <= CHI_SQUARED_95)
    return count


def seen_by(name: str, lamp: str, reflectances: Array) -> Array:
    """Linear RGB (n, 3) of surfaces, balanced so that a perfect white is grey."""
    weights = illuminant(lamp)[:, None] * camera(name)
    return np.asarray(WHITE_LEVEL * (reflectances @ weights) / weights.sum(axis=0))


def xyz_of(reflectances: Array) -> Array:
    """XYZ (n, 3) of surfaces under D65, 2° observer, Y of a perfect white = 1."""
    weights = illuminant("D65")[:, None] * observer()
    # scaled to the rounded white that the tool uses, channel by channel
    return np.asarray(reflectances @ weights / weights.sum(axis=0) * D65_WHITE)


@cache
def daylight_matrix(name: str) -> Array:
    """From a camera's balanced colours to linear sRGB, float64 (3, 3), white kept: least
    squares over the chart's patches under D65."""
    chart = chart_reflectances()
    seen = seen_by(name, "D65", chart) / WHITE_LEVEL
    aims = xyz_of(chart) @ np.linalg.inv(RGB_TO_XYZ).T
    # Two of the three rows are free; the third brings white to white.
    free = np.linalg.lstsq(seen[:, :2] - seen[:, 2:], aims - seen[:, 2:], rcond=None)[0]
    return np.vstack([free, 1.0 - free.sum(axis=0)])


@cache
def chart_reflectances() -> Array:
    """Published averages over many charts, (24, 81) on `FINE`."""
    import colour

    chart = colour.SDS_COLOURCHECKERS["babel_average"]
    return np.stack([np.interp(FINE, s.wavelengths, s.values) for s in chart.values()])


@cache
def nose_reflectances() -> Array:
    """Nose-like matters, published skins and published greys, (n, 81) on `FINE`."""
    import colour

    matters = np.stack([hats(FINE) @ matter(name).reflectance for name in NOSES])
    published = list(colour.SDS_COLOURCHECKERS["PMC"].values())
    skins_and_greys = [*published[:4], *published[-6:]]
    others = [np.interp(FINE, s.wavelengths, s.values) for s in skins_and_greys]
    return np.concatenate([matters, np.stack(others)])


if __name__ == "__main__":
    sys.exit(main())
