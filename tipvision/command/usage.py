"""How a wrong command line is told: in one line that says where to look."""

import argparse
import re
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

_BELOW_ZERO = re.compile(r"-[.,]?\d")
_OPTION = re.compile(r"--[a-z][a-z-]*")


class UsageFault(Exception):
    """A command line that says nothing; its text is the line for the user."""


class Parser(argparse.ArgumentParser):
    """A parser that raises UsageFault, where argparse would print the usage and leave."""

    def error(self, message: str) -> NoReturn:
        said = message[:1].upper() + message[1:].rstrip(".")
        raise UsageFault(f"{said}. What there is: {self.prog} --help")

    def parse_known_args(  # type: ignore[override]  # a Namespace of its own is all we ask for
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> tuple[argparse.Namespace, list[str]]:
        """As argparse does, but what a command does not know is told by that command, whose help
        lists its options, and not by the one above it."""
        given = sys.argv[1:] if args is None else args
        options, unknown = super().parse_known_args(_frost_kept(given), namespace)
        if unknown:
            self.error(f"'{' '.join(unknown)}' means nothing here")
        return options, unknown


def _frost_kept(args: Sequence[str]) -> list[str]:
    """`--in -5C` as `--in=-5C`: argparse takes a number with a unit that is below zero for an
    option."""
    kept: list[str] = []
    for arg in args:
        if kept and _BELOW_ZERO.match(arg) and _OPTION.fullmatch(kept[-1]):
            kept[-1] += f"={arg}"
        else:
            kept.append(arg)
    return kept


def whole_number(text: str) -> int:
    """The type of an argument that is a whole number."""
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"takes a whole number, not '{text}'") from None
