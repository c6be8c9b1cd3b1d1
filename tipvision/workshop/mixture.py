"""How far a fixed jet's mixture drifts with the density of the air, and the jet that mends it."""

import math
from dataclasses import dataclass

from tipvision.workshop.air import Air, densities
from tipvision.workshop.worked import READING_CAUTIONS, Worked

NUMBERED_BY = ("diameter", "flow")
SMALL_DRIFT = 0.01  # share: less than one jet size is worth, and less than the law is good for
_SOURCES = (
    "published: ISO 2533:1975 (standard atmosphere)",
    "published: Murphy and Koop, 2005 (water vapour)",
    "common practice, no published source",
)
_LIMITS = (
    "This holds for the main circuit of a plain carburettor. Pilot, needle and slide follow their"
    " own ways, and real carburettors drift more than the law says."
)


@dataclass(frozen=True)
class Drift:
    """From the air a carburettor was jetted for to the air it runs in; all are ratios, new over
    old: the density of the air, the air that a part of fuel gets (above 1 is leaner), and the jet's
    area and diameter that restore it."""

    density: float
    air_fuel: float
    jet_area: float
    jet_diameter: float


def drift(jetted: Air, now: Air) -> Drift:
    """The drift of a fixed jet.

    A venturi sucks with ½·ρ·v², so the mass of fuel through a fixed jet goes as √ρ, and the mass of
    dry air as its own density: air/fuel ∝ ρ_dry / √ρ, which is √ρ in dry air. The jet's area must
    follow it. Source of the law: common practice, no published source (Bernoulli's equation for
    both).
    """
    (moist_then, dry_then), (moist_now, dry_now) = densities(jetted), densities(now)
    air_fuel = dry_now / dry_then / math.sqrt(moist_now / moist_then)
    return Drift(moist_now / moist_then, air_fuel, air_fuel, math.sqrt(air_fuel))


def mixture(
    jetted: Air,
    now: Air,
    fuel: str | None = None,
    jet: float | None = None,
    numbered_by: str | None = None,
) -> Worked:
    """What the change of air does to the mixture, and to the main jet.

    jetted, now: the air that the jets were chosen for, and the air that the engine runs in.
    fuel:        "carburettor", "injection" or None; an injected engine corrects itself.
    jet:         the number on the main jet. numbered_by: one of `NUMBERED_BY`; without it both
                 numbers are shown and neither is advised.
    Raises ValueError for another word or a jet that is not above 0.
    """
    if numbered_by is not None and numbered_by not in NUMBERED_BY:
        raise ValueError(f"'{numbered_by}' is not one of {', '.join(NUMBERED_BY)}.")
    if jet is not None and not 0.0 < jet < 10_000.0:
        raise ValueError(f"{jet:g} is no number of a jet.")
    change = drift(jetted, now)
    numbers: dict[str, float | None] = {
        "density_percent": 100.0 * (change.density - 1.0),
        "air_fuel_percent": 100.0 * (change.air_fuel - 1.0),
        "jet_area_percent": 100.0 * (change.jet_area - 1.0),
        "jet_diameter_percent": 100.0 * (change.jet_diameter - 1.0),
        "jet": jet,
        "jet_if_diameter": None if jet is None else jet * change.jet_diameter,
        "jet_if_flow": None if jet is None else jet * change.jet_area,
    }
    air = (
        f"The air is {abs(numbers['density_percent'] or 0.0):.1f} %"
        f" {'thinner' if change.density < 1 else 'denser'} than where the jets were chosen."
    )
    if fuel == "injection":
        own = (
            "Injection measures the air and corrects the mixture itself: change nothing for"
            " altitude or weather."
        )
        kept = {"density_percent": numbers["density_percent"]}
        return Worked((air, own), kept, ("manual_first",), _SOURCES[:2])
    if abs(change.air_fuel - 1.0) < SMALL_DRIFT:
        still = "The mixture stays within 1 %: no jet change is worth the work."
        return Worked((air, still, _LIMITS), numbers, ("manual_first",), _SOURCES)
    leaner = change.air_fuel > 1.0
    first = (
        f"The mixture drifts {abs(100.0 * (change.air_fuel - 1.0)):.1f} %"
        f" {'leaner' if leaner else 'richer'}."
    )
    more = "more" if leaner else "less"
    size = (
        f"The main jet that restores it has {abs(numbers['jet_area_percent'] or 0.0):.1f} %"
        f" {more} area, which is {abs(numbers['jet_diameter_percent'] or 0.0):.1f} % {more}"
        " diameter."
    )
    order = (
        "Fit the richer jet before the engine runs in this air: it would run lean."
        if leaner
        else "Go down one size at a time, round to the richer side, and read the plug after a"
        " steady load with each; go back up before the engine runs in denser air again."
    )
    return Worked(
        (first, air, size, *_jet(jet, numbered_by, change), order, _LIMITS),
        numbers,
        (*(() if leaner else READING_CAUTIONS), "never_leaner_or_hotter", "manual_first"),
        _SOURCES,
    )


def _jet(jet: float | None, numbered_by: str | None, change: Drift) -> list[str]:
    if jet is None:
        return []
    by_diameter, by_flow = jet * change.jet_diameter, jet * change.jet_area
    if numbered_by is None:
        return [
            f"If jets are numbered by diameter, {jet:g} becomes {by_diameter:.1f}; if by flow,"
            f" {by_flow:.1f}. Ask which it is before one is fitted."
        ]
    wanted = by_diameter if numbered_by == "diameter" else by_flow
    return [f"Numbered by {numbered_by}, {jet:g} becomes {wanted:.1f}, or the next size up."]
