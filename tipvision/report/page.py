"""The reading of one photo as one self-contained HTML page that prints on a sheet of A4."""

import re
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tipvision.files import write_whole
from tipvision.record.reading import Reading
from tipvision.report.contents import Contents, Shown, contents_of
from tipvision.report.engine_words import NOTHING_TOLD, EngineWords
from tipvision.report.mark import svg_path
from tipvision.report.picture import png_uri
from tipvision.report.shop import Shop
from tipvision.report.words import opening, percent
from tipvision.templates import templates_of

if TYPE_CHECKING:
    from markupsafe import Markup

OPTION = re.compile(r"--[a-z][a-z-]*[a-z]")


def report_page(
    reading: Reading,
    picture: NDArray[np.uint8] | None,
    taken: str | None,
    shop: Shop | None = None,
    engine: EngineWords = NOTHING_TOLD,
) -> str:
    """The page of one reading; `picture` and `taken` as in `Shown`, `shop` as in `plug_page`,
    `engine` as in `contents_of`."""
    return plug_page(contents_of(Shown(reading, picture, taken), engine=engine), shop)


def plug_page(told: Contents, shop: Shop | None = None) -> str:
    """The page, without script and without any address outside itself.

    shop: whose report it is; None is the default.
    """
    return render(
        "page.html", shop or Shop(), {f.name: getattr(told, f.name) for f in fields(told)}
    )


def write_report(
    reading: Reading,
    picture: NDArray[np.uint8] | None,
    path: Path,
    taken: str | None = None,
    shop: Shop | None = None,
    engine: EngineWords = NOTHING_TOLD,
) -> None:
    """Write the page to `path`, whole or not at all (OSError when that cannot be done)."""
    write_whole(path, report_page(reading, picture, taken, shop, engine).encode("utf-8"))


def render(template: str, shop: Shop, facts: Mapping[str, Any]) -> str:
    """A template of this folder filled in; what a fact holds stays text."""
    ours = {
        "shop": shop.name,
        "logo": None if shop.logo is None else png_uri(shop.logo),
        "mark": svg_path(),
    }
    return str(_environment().get_template(template).render(ours | dict(facts)))


def unbroken_options(text: str) -> "Markup":
    """The text as markup that keeps each option of the command line, such as `--tip`, on one line:
    browsers break lines after a hyphen."""
    from markupsafe import Markup, escape

    return Markup(OPTION.sub(r'<span class="option">\g<0></span>', str(escape(text))))


@cache
def _environment() -> Any:
    """The templates, each compiled once."""
    return templates_of(
        "tipvision.report", percent=percent, opening=opening, unbroken=unbroken_options
    )
