"""The window of temperature that a nose should live in."""

from tipvision.workshop.figures import figures
from tipvision.workshop.units import celsius_to_fahrenheit
from tipvision.workshop.worked import Worked, once

_NO_PHOTO = "No photo shows a temperature: it is measured with a thermocouple plug."


def tip_temperature(celsius: float | None) -> Worked:
    """The window, and where a measured temperature of the nose, °C, lies in it.

    Raises ValueError below -40 and above 2000 °C.
    """
    known = figures()
    window, cleans, danger = (
        known[name] for name in ("tip_window_c", "tip_cleans_from_c", "tip_danger_from_c")
    )
    numbers: dict[str, float | None] = {
        "window_low_c": window.low,
        "window_high_c": window.high,
        "cleans_from_low_c": cleans.low,
        "cleans_from_high_c": cleans.high,
        "danger_from_c": danger.low,
        "nose_c": celsius,
    }
    numbers |= {
        name.removesuffix("_c") + "_f": None if c is None else celsius_to_fahrenheit(c)
        for name, c in numbers.items()
    }
    sentences = [
        f"The nose should run at {_both(window.low, window.high)}.",
        "Below that deposits stay on it; above it pre-ignition and damage threaten.",
        f"It burns itself clean from {_both(cleans.low, cleans.high)} upward; from about"
        f" {_both(danger.low)} there is danger.",
        _NO_PHOTO,
    ]
    cautions = ["manual_first"]
    if celsius is not None:
        if not -40.0 <= celsius <= 2000.0:
            raise ValueError(f"{celsius:.0f} °C is no temperature of a nose.")
        at = f"{_both(celsius)} "
        if celsius < window.low:
            where = "lies below the window: the plug runs too cold to stay clean."
        elif celsius <= window.high:
            where = "lies in the window."
        elif celsius < danger.low:
            where = "lies above the window: take the load off, and find out why."
        else:
            where = "is dangerous: stop the engine, and find out why before it runs again."
        if celsius > window.high:
            cautions.insert(0, "never_leaner_or_hotter")
        sentences = [at + where, *sentences[:-1]]
    return Worked(
        tuple(sentences),
        numbers,
        tuple(cautions),
        once(window.source, cleans.source, danger.source),
    )


def _both(low: float, high: float | None = None) -> str:
    ends = [low] if high is None else [low, high]
    celsius, fahrenheit = (
        " to ".join(f"{f(end):.0f}" for end in ends) for f in (float, celsius_to_fahrenheit)
    )
    return f"{celsius} °C ({fahrenheit} °F)"
