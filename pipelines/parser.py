"""The command line of a run whose help is all that its module says of it."""

import argparse


def parser_of(module: str, text: str | None) -> argparse.ArgumentParser:
    """A parser for `pipelines.MODULE`. text: the module's docstring, shown as it stands."""
    return argparse.ArgumentParser(
        prog=f"python -m pipelines.{module}",
        description=text,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
