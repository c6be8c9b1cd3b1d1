"""From the chips of each band to its mean, spread and correlation, as the text of bands.toml."""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from pipelines.bands.munsell import chip_lab

CHIPS = Path(__file__).with_name("chips.toml")
_HEAD = """\
# The four reference bands of tip colour, CIELAB under D65, 2° observer.
# Made by `python -m pipelines.bands` from pipelines/bands/chips.toml; change it there, not here.
#
# mean, sd:    L*, a*, b*: of the chips, with the extra spread of chips.toml added to the variance.
# correlation: between L*, a*, b*.
# pattern:     fills the band's swatch, so that it can be told on a grey print.
# origin:      where the choice of chips and the extra spread come from.

conversion = "reference library: colour-science, Munsell renotation; Bradford from C to D65"
"""


def bands_text(chips: Path = CHIPS) -> str:
    """The whole of bands.toml.

    Parameters
    ----------
    chips: a file like `chips.toml`: `origin` and, per band, title, pattern, extra_sd and chips.

    Raises
    ------
    OSError: it cannot be read. tomllib.TOMLDecodeError, KeyError: it is not such a file.
    ValueError: a chip cannot be converted.
    """
    spec = tomllib.loads(chips.read_text("utf-8"))
    origin = spec.pop("origin")
    return "\n".join([_HEAD, *(_band_text(name, band, origin) for name, band in spec.items())])


def _band_text(name: str, spec: dict[str, Any], origin: str) -> str:
    lab = np.array([chip_lab(chip) for chip in spec["chips"]])
    covariance = np.cov(lab, rowvar=False) + np.diag(np.square(spec["extra_sd"]))
    sd = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(sd, sd)
    rows = "".join(f"    {_numbers(row, 3)},\n" for row in correlation)
    return (
        f"[{name}]\n"
        f'title = "{spec["title"]}"\n'
        f'pattern = "{spec["pattern"]}"\n'
        f"mean = {_numbers(lab.mean(axis=0), 2)}\n"
        f"sd = {_numbers(sd, 2)}\n"
        f"correlation = [\n{rows}]\n"
        f'origin = "{origin}"\n'
    )


def _numbers(values: np.ndarray, digits: int) -> str:
    # Adding 0.0 turns a rounded -0.0 into 0.0, which would flip sign from one machine to the next.
    return "[" + ", ".join(f"{round(float(v), digits) + 0.0:.{digits}f}" for v in values) + "]"
