"""The templates that lie in a package, for pages and cards."""

from collections.abc import Callable
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment

REPORT = "report/"


def templates_of(package: str, **filters: Callable[..., str]) -> "Environment":
    """Templates by their file names in `package`, those of the reports, which other pages build on,
    as `report/…`; with filters.

    What is filled in stays text, but in Markdown, which has no markup to be escaped from; a name
    that was not filled in raises jinja2.UndefinedError. Jinja2 is loaded when this is called.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    files, reports = resources.files(package), resources.files("tipvision.report")

    def text_of(name: str) -> str:
        own = not name.startswith(REPORT)
        file = files.joinpath(name) if own else reports.joinpath(name.removeprefix(REPORT))
        return file.read_text("utf-8")

    environment = Environment(
        loader=FunctionLoader(text_of),
        autoescape=lambda name: name is None or not name.endswith(".md"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(filters)
    return environment
