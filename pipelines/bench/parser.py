"""The command line of a bench."""

import argparse

from pipelines import parser


def parser_of(name: str, text: str | None) -> argparse.ArgumentParser:
    """A parser for `pipelines.bench.NAME`. text: the module's docstring, shown as it stands."""
    return parser.parser_of(f"bench.{name}", text)
