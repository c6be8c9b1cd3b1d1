"""Machine names of the record in the trade's words."""

from collections.abc import Sequence
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

# Condition -> (name, gloss).
CONDITIONS = {
    "normal": ("Normal", "burning as it should"),
    "dry_black": ("Dry black", "carbon fouled"),
    "wet_black": ("Wet black", "oil fouled"),
    "chalk_white": ("Chalk white", "overheated"),
    "unused": ("Unused", "not yet run"),
    "none": ("No condition", "only findings describe it"),
}
FINDINGS = {
    "fuel_wet": "fuel wet",
    "ash": "ash crust",
    "glazed": "glazed",
    "bridged": "gap bridged or closed up",
    "worn": "worn electrodes",
    "cracked": "nose cracked or chipped",
    "pre_ignition": "pre-ignition damage",
    "detonation": "detonation marks",
    "metal_specks": "metal specks from a piston",
    "coloured": "additive colours",
    "coolant": "coolant marks",
    "dust": "dust skin from unfiltered air",
    "mechanical": "strap hit or bent",
    "uneven": "one side dark or a soot ring",
}
PLUG_VERDICTS = {
    "refit": "Good to fit, once looked over",
    "clean": "Clean it",
    "replace": "Replace it",
    "check": "Check it further",
}
ENGINE_VERDICTS = {
    "run": "May run",
    "not_under_load": "Not under load until the cause is found",
    "do_not_start": "Do not start or crank it",
    "check": "Check first, as below",
}
VIEWS: dict[str | None, str] = {
    "end_on": "end-on",
    "oblique": "at a slant",
    "side": "from the side",
}
LIGHTS = {
    "bench_card": "measured on the bench card in the photo",
    "chart": "measured on the 24-patch chart in the photo",
    "grey_card": "measured on the grey card in the photo",
    "estimate": "estimated from the photo alone",
}

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)

# Least probability -> word, best first. The steps are our estimate.
_SURE = ((0.95, "Very sure"), (0.85, "Sure"), (0.70, "Fairly sure"), (0.0, "Leaning this way"))

# Greatest L* of each shade, then hue words for what is not grey. The steps are our estimate.
_SHADES = ((16.0, "black"), (32.0, "very dark"), (48.0, "dark"), (64.0, "mid"), (82.0, "light"))


def sure_word(probability: float) -> str:
    """How sure the tool is, in words, for a probability from 0 to 1."""
    return next(word for least, word in _SURE if probability >= least)


def percent(share: float) -> str:
    """A share from 0 to 1 in whole per cent; never "0 %" or "100 %" for what is merely close."""
    if 0.0 < share < 0.01:
        return "under 1\u00a0%"
    if 0.99 < share < 1.0:
        return "over 99\u00a0%"
    return f"{share * 100:.0f}\u00a0%"


def taken_words(taken: str) -> str:
    """A time as cameras write it ("2026:05:12 14:05:59") in words; other text as it stands."""
    try:
        at = datetime.strptime(taken, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return taken
    return f"{at.day} {_MONTHS[at.month - 1]} {at.year}, {at:%H:%M}"


def day_words(taken: str) -> str:
    """The day of such a time, short: "12 May 2026"; other text as it stands."""
    try:
        at = datetime.strptime(taken, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return taken
    return f"{at.day} {_MONTHS[at.month - 1][:3]} {at.year}"


def opening(label: str) -> str:
    """The name of a plug where a sentence or heading begins: "Cylinder 2", but "gn-02-a" as the
    file has it."""
    return label[:1].upper() + label[1:] if label.partition(" ")[0].isalpha() else label


def light_words(source: str, cct_k: float | None = None) -> str:
    """The source of a `Light` in words, with its colour temperature where that is known."""
    kelvin = f", about {cct_k:.0f}\u00a0K" if cct_k else ""
    kind, _, name = source.partition(":")
    if kind == "declared":
        return f"{name}, as it was declared{kelvin}"
    if kind == "stored":
        return f"stored light “{name}”{kelvin}"
    return LIGHTS.get(source, source) + kelvin


def colour_words(lab: NDArray[np.float64]) -> str:
    """A plain name for a CIELAB colour (D65, 2° observer, shape (3,)), such as "dark brown"."""
    lightness, a, b = (float(value) for value in lab)
    chroma, hue = float(np.hypot(a, b)), float(np.degrees(np.arctan2(b, a)) % 360.0)
    if lightness <= _SHADES[0][0]:
        return "black"
    if lightness > 88.0 and chroma < 6.0:
        return "white"
    shade = next((word for most, word in _SHADES[1:] if lightness <= most), "pale")
    if chroma < 4.0:
        base = "grey"
    elif hue < 30.0 or hue >= 330.0:
        base = "red"
    elif hue < 110.0:
        warm = "tan" if lightness > 55.0 else "brown"
        base = f"grey-{warm}" if chroma < 9.0 else warm
    else:
        base = "greenish grey" if hue < 200.0 else "bluish grey"
    return f"{shade} {base}"


def listed(words: Sequence[str], joint: str = "and") -> str:
    """ "a", "a and b", "a, b and c"; `joint` is the last joining word."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
