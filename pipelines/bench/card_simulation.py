"""How well one grey or a stored light tells a nose's colour, with spectra instead of photos.

`python -m pipelines.bench.card_simulation [--draws N]`. The cameras, lamps and noses are those of
`pipelines.bench.light_simulation`; they have had no part in any setting. The lamps and cameras by
which a grey's doubt was set are others and have a line of their own. Each lamp's row has medians of
CIEDE2000 under D65 at the reference itself (how much light arrives at a nose is another matter:
`python -m pipelines.light fit`):

- stored light: the chart with 0.4 % of patch error, the nose one stop brighter or darker, lightness
  carried over by the exposure.
- grey card: a grey of 0.18 (the bench card tells light by the same rule), seen by a camera that
  makes sRGB of its colours with one matrix, the best for the chart in daylight, whatever the lamp;
  and the largest change of colour when card and nose are photographed a stop brighter and darker.
"""

import argparse
import sys
from collections.abc import Sequence
from itertools import product

import numpy as np

from pipelines.bench.intervals import rate_line
from pipelines.bench.light_simulation import (
    CAMERAS,
    LAMPS,
    PATCH_ERROR,
    SETTING_CAMERAS,
    SETTING_LAMPS,
    Array,
    chart_reflectances,
    daylight_matrix,
    held_by,
    nose_reflectances,
    seen_by,
    xyz_of,
)
from tipvision.colour.difference import ciede2000
from tipvision.colour.lab import xyz_to_lab
from tipvision.light.chart.editions import Edition
from tipvision.light.chart.fit import fit_chart
from tipvision.light.chart.patches import Patches
from tipvision.light.light import Light
from tipvision.light.one_grey import (
    CARD_NEUTRAL_SD,
    CARD_REFLECTANCE_SD,
    correction_of,
    samples_of,
)
from tipvision.light.stored import Conditions, StoredLight, light_of_stored

MOST_STORED, MOST_GREY, MOST_MOVED = 1.5, 2.5, 0.5  # CIEDE2000 that are asked for
GREY = 0.18
STOPS = (-1.0, 1.0)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--draws", type=int, default=5, help="of patch errors (default 5)")
    options = parser.parse_args(arguments)
    rng = np.random.default_rng(0)
    stored_all: list[Array] = []
    grey_all: list[Array] = []
    moved_all: list[float] = []
    charts: list[bool] = []
    held = {"stored light": [0, 0], "grey card": [0, 0]}
    print("lamp: median CIEDE2000 with a stored light, with a grey card; exposure moves it by")
    for lamp in LAMPS:
        stored = []
        for name, _, stops in product(CAMERAS, range(options.draws), STOPS):
            light = stored_light(name, lamp, stops, rng)
            charts.append(light is not None)
            if light is not None:
                stored.append(_judged(name, lamp, light, stops, held["stored light"]))
        grey = [
            _judged(name, lamp, grey_light(name, lamp, 0.0), 0.0, held["grey card"])
            for name in CAMERAS
        ]
        moved = max(moved_by_exposure(name, lamp) for name in CAMERAS)
        stored_all += stored
        grey_all += grey
        moved_all.append(moved)
        print(f"  {lamp}: {_median(stored):.2f}, {_median(grey):.2f}; {moved:.2f}")
    print(
        f"all lamps: stored light {_median(stored_all):.2f} (limit {MOST_STORED}), grey card "
        f"{_median(grey_all):.2f} ({MOST_GREY}), exposure {max(moved_all):.2f} ({MOST_MOVED})"
    )
    print(rate_line("charts good enough to keep", sum(charts), len(charts)))
    for kind, (hits, count) in held.items():
        print(rate_line(f"{kind}: true colour within the 95 % region", hits, count))
    setting = [0, 0]
    for lamp, name in product(SETTING_LAMPS, SETTING_CAMERAS):
        _judged(name, lamp, grey_light(name, lamp, 0.0), 0.0, setting)
    print(rate_line("grey card, on the lamps and cameras its doubt was set by", *setting))
    return int(
        _median(stored_all) > MOST_STORED
        or _median(grey_all) > MOST_GREY
        or max(moved_all) > MOST_MOVED
    )


def stored_light(name: str, lamp: str, stops: float, rng: np.random.Generator) -> Light | None:
    """The light kept from the chart, carried over to a photo `stops` brighter; None where the chart
    is refused."""
    chart = chart_reflectances()
    light = seen_by(name, lamp, chart)
    error = PATCH_ERROR * light
    noisy = light + rng.normal(size=light.shape) * error
    patches = Patches(noisy, error, error, np.zeros(24), np.full(24, 1000))
    fit = fit_chart(patches, Edition("as measured", "the spectra themselves", xyz_of(chart)))
    if fit.correction is None or fit.samples is None:
        return None
    then, now = (
        Conditions(None, None, exposure, "manual", None, np.zeros(3))
        for exposure in (1.0, 2.0**stops)
    )
    stored = StoredLight("bench", fit.correction, fit.samples, fit.verdict, fit.mean, then)
    return light_of_stored(stored, now)


def grey_light(name: str, lamp: str, stops: float) -> Light:
    """The light by one even grey, photographed `stops` brighter, without noise."""
    even = np.full((1, chart_reflectances().shape[1]), GREY)
    seen = 2.0**stops * as_srgb(name, lamp, even)[0]
    ln_gain = np.log(GREY / seen)
    samples = samples_of(ln_gain, np.full(3, CARD_NEUTRAL_SD), CARD_REFLECTANCE_SD)
    return Light("grey_card", correction_of(ln_gain), samples, level_known=True)


def moved_by_exposure(name: str, lamp: str) -> float:
    """Largest CIEDE2000 by which a nose's colour moves from one stop darker to one brighter."""
    rgb = as_srgb(name, lamp, nose_reflectances())
    labs = [
        xyz_to_lab(grey_light(name, lamp, stops).correction.xyz(2.0**stops * rgb))
        for stops in STOPS
    ]
    return float(ciede2000(*labs).max())


def as_srgb(name: str, lamp: str, reflectances: Array) -> Array:
    """Linear RGB (n, 3) of surfaces as a camera gives it that fits sRGB in daylight."""
    return seen_by(name, lamp, reflectances) @ daylight_matrix(name)


def _judged(name: str, lamp: str, light: Light, stops: float, held: list[int]) -> Array:
    """CIEDE2000 (n,) of the noses; adds to `held` how many lie in the 95 % region, and of how
    many."""
    noses = nose_reflectances()
    camera = as_srgb if light.source == "grey_card" else seen_by
    rgb, true = 2.0**stops * camera(name, lamp, noses), xyz_to_lab(xyz_of(noses))
    held[0] += held_by(light.samples, rgb, true)
    held[1] += len(true)
    return ciede2000(xyz_to_lab(light.correction.xyz(rgb)), true)


def _median(misses: Sequence[Array]) -> float:
    return float(np.median(np.concatenate(misses))) if misses else float("inf")


if __name__ == "__main__":
    sys.exit(main())
