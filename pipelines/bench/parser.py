"""The command line of a bench whose help is all that its module says of it."""

import argparse


def parser_of(name: str, text: str | None) -> argparse.ArgumentParser:
    """A parser for `pipelines.bench.NAME`. text: the module's docstring, shown as it stands."""
    return argparse.ArgumentParser(
        prog=f"python -m pipelines.bench.{name}",
        description=text,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
