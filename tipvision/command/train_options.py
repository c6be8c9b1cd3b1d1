"""The options of `tipvision train` and `tipvision models`."""

import argparse

from tipvision.command.asked_options import add_lamp
from tipvision.command.later import later

Commands = argparse._SubParsersAction


def add_train(commands: "Commands[argparse.ArgumentParser]") -> None:
    """`tipvision train FOLDER`."""
    train = commands.add_parser(
        "train",
        help="teach a model on your own labelled photos",
        description="Teach a model on your own photos. Without --labels the photos lie in "
        "sub-folders named normal, dry_black, wet_black, chalk_white and unused. A light that is "
        "named is that of all photos.",
    )
    train.add_argument("folder", metavar="FOLDER", help="folder that holds the photos")
    train.add_argument(
        "--labels",
        metavar="FILE.csv",
        help="a CSV file with the columns photo and condition, and plug if several photos show one",
    )
    train.add_argument(
        "--plug-names",
        metavar="FORM",
        help="how file names tell the plug: '{plug}-*' for tb-07-a.jpg and tb-07-b.jpg; "
        "without it every photo counts as a plug of its own",
    )
    train.add_argument("--name", help="what to call the model (shop-1, shop-2, ...)")
    add_lamp(train)
    train.add_argument("--check", action="store_true", help="look at the photos only, train not")
    train.add_argument("-q", "--quiet", action="store_true", help="no progress and no notes")
    train.set_defaults(run=later("train"))


def add_models(commands: "Commands[argparse.ArgumentParser]") -> None:
    """`tipvision models ACTION`."""
    models = commands.add_parser("models", help="say which models there are, and which one serves")
    actions = models.add_subparsers(title="actions", required=True, metavar="ACTION")
    listed = actions.add_parser("list", help="a line for each model")
    listed.set_defaults(run=later("models", "run_list"))
    compare = actions.add_parser("compare", help="hold one against the model it was compared with")
    compare.add_argument("name", metavar="NAME", help="of one of your models")
    compare.set_defaults(run=later("models", "run_compare"))
    promote = actions.add_parser("promote", help="let one serve, if it has earned its place")
    promote.add_argument("name", metavar="NAME", help="of one of your models")
    promote.set_defaults(run=later("models", "run_promote"))
    revert = actions.add_parser("revert", help="let the one serve that did before")
    revert.add_argument("--shipped", action="store_true", help="go back to the model that ships")
    revert.set_defaults(run=later("models", "run_revert"))
