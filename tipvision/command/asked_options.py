"""The options that `read`, `report` and `batch` share: the light, the engine, the model."""

import argparse


def add_asked(parser: argparse.ArgumentParser) -> None:
    """What a person may say of a photo."""
    parser.add_argument(
        "--tip",
        metavar="OUTLINE",
        help="your own outline of the nose in pixels: circle:X,Y,R or polygon:'X,Y X,Y X,Y ...'",
    )
    add_lamp(parser)
    parser.add_argument(
        "--grey-card", metavar="X,Y", help="a point on the grey card in the photo, in pixels"
    )
    add_references(parser)
    parser.add_argument(
        "--plug", metavar="N", help="with several plugs in a photo: its number, or 'all'"
    )
    parser.add_argument(
        "--same-plug", action="store_true", help="the photos show one plug: one reading of them all"
    )
    add_engine_facts(parser)
    add_model(parser)
    parser.add_argument(
        "-q", "--quiet", action="store_true", help="no word of what was written or noted"
    )


def add_model(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--model", metavar="NAME", help="try a model that is not in use ('tipvision models list')"
    )


def add_lamp(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--light", metavar="NAME", help="the lamp: a CIE illuminant (D65, A, F11, ...) or 4000K"
    )
    parser.add_argument(
        "--stored-light", metavar="NAME", help="a light kept with 'tipvision light keep'"
    )


def add_references(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--grey-reflectance",
        metavar="SHARE",
        default="0.18",
        help="what the grey card reflects, 0 to 1 (%(default)s)",
    )
    add_chart_edition(parser)


def add_chart_edition(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--chart-edition",
        metavar="NAME",
        default="after_2014_11",
        help="which print of the 24-patch chart it is (%(default)s)",
    )


def add_engine_facts(parser: argparse.ArgumentParser) -> None:
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
