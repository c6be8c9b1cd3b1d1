"""The commands and their options; each command is loaded only when it runs."""

import argparse

from tipvision.command.asked_options import (
    add_asked,
    add_chart_edition,
    add_engine_facts,
    add_lamp,
    add_model,
    add_references,
)
from tipvision.command.batch_options import add_batch_options
from tipvision.command.later import later
from tipvision.command.reckon_options import add_reckon
from tipvision.command.train_options import add_models, add_train
from tipvision.command.usage import Parser


def parser() -> argparse.ArgumentParser:
    """All commands with their options; parsing raises UsageFault for what they do not take."""
    top: argparse.ArgumentParser = Parser(
        prog="tipvision",
        description="Read the firing end of a pulled spark plug from a photo.",
        epilog="A photo is one clue, not proof. The engine maker's manual comes first.",
    )
    top.add_argument(
        "--version", action=_Version, nargs=0, help="print tool, record and model versions"
    )
    commands = top.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_read(commands)
    _add_report(commands)
    _add_batch(commands)
    _add_demo(commands)
    _add_light(commands)
    _add_card(commands)
    add_reckon(commands)
    _add_facts(commands)
    _add_shop(commands)
    add_train(commands)
    add_models(commands)
    _add_check(commands)
    return top


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from tipvision.command.version import version_text

        print(version_text())
        parser.exit()


def _add_read(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    read = commands.add_parser("read", help="read the plug in each photo")
    read.add_argument("photos", nargs="+", metavar="PHOTO", help='a photo; "-" is standard input')
    read.add_argument("--json", action="store_true", help="print one record a line, as JSON")
    read.add_argument(
        "--numbers", action="store_true", help="print what decided with its exact weights"
    )
    read.add_argument(
        "--report", metavar="FOLDER", help="write a one-page HTML report of each photo"
    )
    read.add_argument(
        "--masks", metavar="FOLDER", help="write what was taken for nose, strap, shell"
    )
    add_asked(read)
    read.set_defaults(run=later("read"))


def _add_report(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    report = commands.add_parser(
        "report", help="one report of a plug, or of the plugs of one engine"
    )
    report.add_argument("photos", nargs="+", metavar="PHOTO", help="photos of one engine's plugs")
    report.add_argument(
        "--out",
        metavar="FILE",
        action="append",
        required=True,
        help="a file that ends in .html, .pdf or .json; may be given more than once",
    )
    report.add_argument(
        "--cylinders",
        metavar="NAMES",
        help="what the plugs are called, in order: 1,2,3,4; without it the file names say so",
    )
    report.add_argument(
        "--earlier",
        metavar="FOLDER",
        help="of earlier records and JSON reports of this plug, for its trend",
    )
    add_asked(report)
    report.set_defaults(run=later("report"))


def _add_batch(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    batch = commands.add_parser("batch", help="read all photos of a folder, and go on later")
    add_batch_options(batch)
    add_lamp(batch)
    add_references(batch)
    add_engine_facts(batch)
    add_model(batch)
    batch.add_argument("-q", "--quiet", action="store_true", help="no progress, and no summary")


def _add_demo(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    demo = commands.add_parser("demo", help="read the photos that ship and write their reports")
    demo.add_argument(
        "--out", metavar="FOLDER", default="tipvision-demo", help="to write to (%(default)s)"
    )
    demo.set_defaults(run=later("demo"))


def _add_light(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    light = commands.add_parser("light", help="keep the light of a bench lamp for later photos")
    actions = light.add_subparsers(title="actions", required=True, metavar="ACTION")
    keep = actions.add_parser("keep", help="measure it on the 24-patch chart in a photo")
    keep.add_argument("photo", metavar="PHOTO", help="a photo with the chart under that lamp")
    keep.add_argument("--name", required=True, help="what to call the light")
    add_chart_edition(keep)
    keep.set_defaults(run=later("light", "run_keep"))
    listed = actions.add_parser("list", help="say which lights are kept")
    listed.set_defaults(run=later("light", "run_list"))
    drop = actions.add_parser("drop", help="delete one")
    drop.add_argument("name", metavar="NAME", help="of a light that is kept")
    drop.set_defaults(run=later("light", "run_drop"))


def _add_card(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    card = commands.add_parser("card", help="write the bench card to print, as PDF")
    card.add_argument(
        "--out", metavar="FILE", default="bench-card.pdf", help="file to write (%(default)s)"
    )
    card.set_defaults(run=later("card"))


def _add_facts(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    facts = commands.add_parser("facts", help="list what --fact can tell of an engine")
    facts.set_defaults(run=later("facts"))


def _add_shop(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    shop = commands.add_parser("shop", help="say or set whose name and logo stand on reports")
    shop.add_argument("--name", metavar="NAME", help="of the shop, kept for later reports")
    shop.add_argument("--logo", metavar="FILE", help="a PNG or JPEG, kept for later reports")
    shop.set_defaults(run=later("shop"))


def _add_check(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    check = commands.add_parser("check", help="check a file of records against their schema")
    check.add_argument("records", metavar="FILE", help='records, one a line; "-" is standard input')
    check.set_defaults(run=later("check"))
