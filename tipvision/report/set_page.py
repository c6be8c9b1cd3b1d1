"""The plugs of one engine as one self-contained HTML page that prints on two sheets of A4."""

from dataclasses import fields

from tipvision.report.page import render
from tipvision.report.set_contents import SetContents
from tipvision.report.shop import Shop


def set_page(told: SetContents, shop: Shop | None = None) -> str:
    """The page, without script and without any address outside itself."""
    return render("set.html", shop or Shop(), {f.name: getattr(told, f.name) for f in fields(told)})
