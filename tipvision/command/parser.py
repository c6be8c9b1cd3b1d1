"""The commands and their options; each command is loaded only when it runs."""

import argparse

from tipvision.command.batch_options import add_batch_options
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
    read.add_argument("--report", metavar="DIR", help="write a one-page HTML report of each photo")
    read.add_argument("--masks", metavar="DIR", help="write what was taken for nose, strap, shell")
    _add_asked(read)
    read.set_defaults(run=_run_read)


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
        metavar="DIR",
        help="folder of earlier records and JSON reports of this plug, for its trend",
    )
    _add_asked(report)
    report.set_defaults(run=_run_report)


def _add_asked(parser: argparse.ArgumentParser) -> None:
    """What a person may say of a photo."""
    parser.add_argument(
        "--tip",
        metavar="OUTLINE",
        help="your own outline of the nose in pixels: circle:X,Y,R or polygon:'X,Y X,Y X,Y ...'",
    )
    _add_lamp(parser)
    parser.add_argument(
        "--grey-card", metavar="X,Y", help="a point on the grey card in the photo, in pixels"
    )
    _add_references(parser)
    parser.add_argument(
        "--plug", metavar="N", help="with several plugs in a photo: its number, or 'all'"
    )
    parser.add_argument(
        "--same-plug", action="store_true", help="the photos show one plug: one reading of them all"
    )
    _add_engine_facts(parser)
    _add_model(parser)
    parser.add_argument(
        "-q", "--quiet", action="store_true", help="no word of what was written or noted"
    )


def _add_batch(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    batch = commands.add_parser("batch", help="read all photos of a folder, and go on later")
    add_batch_options(batch)
    _add_lamp(batch)
    _add_references(batch)
    _add_engine_facts(batch)
    _add_model(batch)
    batch.add_argument("-q", "--quiet", action="store_true", help="no progress, and no summary")


def _add_model(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--model", metavar="NAME", help="try a model that is not in use ('tipvision models list')"
    )


def _add_lamp(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--light", metavar="NAME", help="the lamp: a CIE illuminant (D65, A, F11, ...) or 4000K"
    )
    parser.add_argument(
        "--stored-light", metavar="NAME", help="a light kept with 'tipvision light keep'"
    )


def _add_references(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--grey-reflectance",
        metavar="SHARE",
        default="0.18",
        help="what the grey card reflects, 0 to 1 (%(default)s)",
    )
    _add_chart_edition(parser)


def _add_chart_edition(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--chart-edition",
        metavar="NAME",
        default="after_2014_11",
        help="which print of the 24-patch chart it is (%(default)s)",
    )


def _add_engine_facts(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--stroke", choices=("two", "four"), help="two-stroke or four-stroke")
    parser.add_argument("--fuel", choices=("carburettor", "injection"), help="how fuel is metered")
    parser.add_argument(
        "--engine-file", metavar="FILE", help="take these and the engine's other facts from a file"
    )
    parser.add_argument(
        "--fact",
        metavar="NAME=RESULT",
        action="append",
        default=[],
        help="what a check gave or what was told ('tipvision facts' lists them); may be repeated",
    )


def _add_demo(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    demo = commands.add_parser("demo", help="read the photos that ship and write their reports")
    demo.add_argument(
        "--out", metavar="DIR", default="tipvision-demo", help="folder to write to (%(default)s)"
    )
    demo.set_defaults(run=_run_demo)


def _add_light(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    light = commands.add_parser("light", help="keep the light of a bench lamp for later photos")
    actions = light.add_subparsers(title="actions", required=True, metavar="ACTION")
    keep = actions.add_parser("keep", help="measure it on the 24-patch chart in a photo")
    keep.add_argument("photo", metavar="PHOTO", help="a photo with the chart under that lamp")
    keep.add_argument("--name", required=True, help="what to call the light")
    _add_chart_edition(keep)
    keep.set_defaults(run=_run_light_keep)
    listed = actions.add_parser("list", help="say which lights are kept")
    listed.set_defaults(run=_run_light_list)
    drop = actions.add_parser("drop", help="delete one")
    drop.add_argument("name", metavar="NAME", help="of a light that is kept")
    drop.set_defaults(run=_run_light_drop)


def _add_card(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    card = commands.add_parser("card", help="write the bench card to print, as PDF")
    card.add_argument(
        "--out", metavar="FILE", default="bench-card.pdf", help="file to write (%(default)s)"
    )
    card.set_defaults(run=_run_card)


def _add_facts(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    facts = commands.add_parser("facts", help="list what --fact can tell of an engine")
    facts.set_defaults(run=_run_facts)


def _add_shop(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    shop = commands.add_parser("shop", help="say or set whose name and logo stand on reports")
    shop.add_argument("--name", metavar="NAME", help="of the shop, kept for later reports")
    shop.add_argument("--logo", metavar="FILE", help="a PNG or JPEG, kept for later reports")
    shop.set_defaults(run=_run_shop)


def _add_check(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    check = commands.add_parser("check", help="check a file of records against their schema")
    check.add_argument("records", metavar="FILE", help='records, one a line; "-" is standard input')
    check.set_defaults(run=_run_check)


# Each command is loaded only when it runs, so that --help answers at once.


def _run_read(options: argparse.Namespace) -> int:
    from tipvision.command.read import run

    return run(options)


def _run_report(options: argparse.Namespace) -> int:
    from tipvision.command.report import run

    return run(options)


def _run_demo(options: argparse.Namespace) -> int:
    from tipvision.command.demo import run

    return run(options)


def _run_light_keep(options: argparse.Namespace) -> int:
    from tipvision.command.light import run_keep

    return run_keep(options)


def _run_light_list(options: argparse.Namespace) -> int:
    from tipvision.command.light import run_list

    return run_list(options)


def _run_light_drop(options: argparse.Namespace) -> int:
    from tipvision.command.light import run_drop

    return run_drop(options)


def _run_card(options: argparse.Namespace) -> int:
    from tipvision.command.card import run

    return run(options)


def _run_facts(options: argparse.Namespace) -> int:
    from tipvision.command.facts import run

    return run(options)


def _run_shop(options: argparse.Namespace) -> int:
    from tipvision.command.shop import run

    return run(options)


def _run_check(options: argparse.Namespace) -> int:
    from tipvision.command.check import run

    return run(options)
