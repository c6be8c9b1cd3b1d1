"""`tipvision models`: which models there are, what they are worth, and which one serves."""

import argparse

from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.condition.model import default_model
from tipvision.sealed import ModelFault
from tipvision.teaching import store
from tipvision.teaching.worth import Difference, told


def run_list(_: argparse.Namespace) -> int:
    """A line for each model, the one in use marked; one that cannot be used says why."""
    status, used = READ_OK, store.in_use().name
    shipped = default_model()
    print(f"{_mark(store.SHIPPED, used)} {store.SHIPPED}: {shipped.name} {shipped.version}")
    for name in store.names():
        try:
            metrics = store.manifest_of(name)["metrics"]
        except ModelFault as fault:
            status = UNREADABLE
            say(f"error[model]: {name}: {fault}")
            continue
        plugs = ", ".join(f"{count} {label}" for label, count in metrics["plugs"].items())
        place = "may be tried only" if metrics["faults"] else "has earned its place"
        rival = metrics["compared_with"]["name"]
        print(f"{_mark(name, used)} {name}: plugs {plugs}; {place}, held against {rival}")
    return status


def run_compare(options: argparse.Namespace) -> int:
    """The paired figures that were found when the model was made."""
    if options.name == store.SHIPPED:
        return _wrong_usage("yours are held against the shipped model: name one of your own")
    try:
        metrics = store.manifest_of(options.name)["metrics"]
    except store.StoreError as error:
        return _wrong_usage(error)
    rival = metrics["compared_with"]
    print(f"{options.name} against {rival['name']}, on plugs that were held out:")
    print(f"  overall (macro-F1): {told(Difference(**metrics['overall']))}")
    for label, one in metrics["conditions"].items():
        print(f"  {label}: {told(Difference(**one))}")
    for fault in metrics["faults"]:
        print(f"  not promoted: {fault}")
    used = store.in_use()
    if used.name != options.name and (used.name, used.sha256) != (rival["name"], rival["sha256"]):
        print(f"  {used.name} is in use now; train again to hold one against it.")
    return READ_OK


def run_promote(options: argparse.Namespace) -> int:
    """Let a model serve that has earned it."""
    if options.name == store.SHIPPED:
        return _wrong_usage("the shipped model is put back with: tipvision models revert --shipped")
    try:
        used = store.promote(options.name)
    except store.StoreError as error:
        return _wrong_usage(error)
    say(f"in use: {used.name}. Back to the one before: tipvision models revert")
    return READ_OK


def run_revert(options: argparse.Namespace) -> int:
    """Let the model serve that did before, or the shipped one."""
    try:
        used = store.revert(shipped=options.shipped)
    except store.StoreError as error:
        return _wrong_usage(error)
    say(f"in use: {used.name}")
    return READ_OK


def _mark(name: str, used: str) -> str:
    return "in use" if name == used else "      "


def _wrong_usage(fault: Exception | str) -> int:
    say(f"error[usage]: {fault}")
    return WRONG_USAGE
