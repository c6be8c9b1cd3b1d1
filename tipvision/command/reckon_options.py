"""The options of `tipvision reckon`; the sums themselves are loaded only when one is asked for."""

import argparse

from tipvision.command.later import later
from tipvision.command.usage import whole_number


def add_reckon(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    reckon = commands.add_parser("reckon", help="the sums of the bench: gap, mixture, torque ...")
    sums = reckon.add_subparsers(title="sums", required=True, metavar="SUM", dest="sum")
    _add_gap(sums)
    _add_heat_range(sums)
    _add_tip_temperature(sums)
    _add_mixture(sums)
    _add_tightening(sums)


def _add_gap(sums: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    gap = _sum(sums, "gap", "hold an electrode gap against its specification")
    gap.add_argument("gap", metavar="GAP", help="as measured: 0.9 (mm) or 0.035in")
    gap.add_argument(
        "--specified", metavar="GAP", help="by the manual: 0.7-0.8 (mm) or 0.028-0.031in"
    )


def _add_heat_range(sums: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    step = _sum(sums, "heat-range", "say whether and which way to step the heat range")
    step.add_argument(
        "number", metavar="NUMBER", nargs="?", type=whole_number, help="on the plug now"
    )
    step.add_argument(
        "--changed",
        metavar="WHAT",
        help="what was changed: compression, timing, fuel or use; without it the answer is to stay",
    )
    step.add_argument("--towards", metavar="SIDE", help="colder or hotter; left out in doubt")
    step.add_argument(
        "--scale",
        type=_with_dashes,
        choices=("higher-is-colder", "higher-is-hotter"),
        help="how the maker numbers",
    )


def _with_dashes(text: str) -> str:
    return text.replace("_", "-")  # engine files have it with underscores


def _add_tip_temperature(sums: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    tip = _sum(sums, "tip-temperature", "the window of temperature for the nose")
    tip.add_argument("temperature", metavar="T", nargs="?", help="as measured: 620C or 1150F")


def _add_mixture(sums: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    mixture = _sum(sums, "mixture", "how far altitude and weather move a carburettor's mixture")
    mixture.add_argument(
        "--jetted-at", metavar="ALTITUDE", help="that the jets were chosen for: 300 (m) or 1000ft"
    )
    mixture.add_argument("--jetted-in", metavar="T", help="air temperature there: 15C or 59F")
    mixture.add_argument("--at", metavar="ALTITUDE", required=True, help="where the engine runs")
    mixture.add_argument("--in", metavar="T", dest="in_air", help="air temperature where it runs")
    mixture.add_argument(
        "--humidity",
        metavar="PERCENT",
        default="0",
        help="relative humidity where it runs; the jets count as chosen in dry air (%(default)s)",
    )
    mixture.add_argument("--jet", metavar="NUMBER", help="on the main jet now")
    mixture.add_argument(
        "--numbered-by", metavar="WHAT", help="what the jet's number tells: diameter or flow"
    )
    mixture.add_argument("--fuel", metavar="HOW", help="carburettor or injection")


def _add_tightening(sums: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    tight = _sum(sums, "tightening", "how tight the plug goes in")
    tight.add_argument("--thread", metavar="SIZE", help="M8, M10, M12, M14 or M18")
    tight.add_argument("--seat", metavar="KIND", help="gasket or taper")
    tight.add_argument("--head", metavar="METAL", help="aluminium or iron")
    tight.add_argument(
        "--used-gasket", action="store_true", help="the gasket was crushed once before"
    )


def _sum(
    sums: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, words: str
) -> argparse.ArgumentParser:
    parser = sums.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.")
    parser.add_argument("--engine-file", metavar="FILE", help="take what is not said from here")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    parser.set_defaults(run=later("reckon"))
    return parser
