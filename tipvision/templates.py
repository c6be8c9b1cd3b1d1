"""The templates that lie in a package, for pages and cards."""

from collections.abc import Callable
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


def templates_of(package: str, **filters: Callable[..., str]) -> "Environment":
    """Templates by their file names in `package`, with filters.

    What is filled in stays text, but in Markdown, which has no markup to be escaped from; a name
    that was not filled in raises jinja2.UndefinedError. Jinja2 is loaded when this is called.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    files = resources.files(package)
    environment = Environment(
        loader=FunctionLoader(lambda name: files.joinpath(name).read_text("utf-8")),
        autoescape=lambda name: name is None or not name.endswith(".md"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(filters)
    return environment
