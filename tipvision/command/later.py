"""Commands that are loaded only when they run, so that --help answers at once."""

import argparse
from collections.abc import Callable
from importlib import import_module


def later(module: str, name: str = "run") -> Callable[[argparse.Namespace], int]:
    """What loads `tipvision.command.MODULE` once it is called, and runs its function NAME."""

    def run(options: argparse.Namespace) -> int:
        status: int = getattr(import_module(f"tipvision.command.{module}"), name)(options)
        return status

    return run
