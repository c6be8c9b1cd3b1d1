"""`tipvision report`: one condition report of a plug, or of the plugs of one engine."""

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tipvision.causes.explanation import Engine
from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.command.asked import ask_of, chosen_model, refuse_contradictions
from tipvision.command.copies import once_each
from tipvision.command.in_turn import read_in_turn
from tipvision.command.written import shown_with_photo
from tipvision.comparison.earlier import Whose, earlier_of, earlier_readings, whose
from tipvision.comparison.labels import labels_of
from tipvision.comparison.trend import Trend, trend_of
from tipvision.files import write_whole
from tipvision.light.said import LightError
from tipvision.light.store import StoreError
from tipvision.reading import Ask
from tipvision.report.contents import Shown, contents_of
from tipvision.report.engine_words import EngineWords, engine_words
from tipvision.report.shop import Shop, load_shop
from tipvision.report.unseen import not_in_report
from tipvision.tip.outline import OutlineError

KINDS = (".html", ".pdf", ".json")
MOST_PLUGS = 16  # of one engine


@dataclass(frozen=True)
class _Report:
    """Everything that goes into the files, whatever their kind."""

    shown: Sequence[Shown]
    labels: Sequence[str]
    engine: Engine
    facts: Mapping[str, str]
    told: EngineWords
    shop: Shop
    trend: Trend | None
    missing: Sequence[str]


def run(options: argparse.Namespace) -> int:
    """Read the photos and write one report of them, in each form that was asked for."""
    try:
        files = [_file(name) for name in options.out]
        for path in files:
            if not path.parent.is_dir():
                say(f"error[cannot_write]: {path}: there is no such folder. Make it first.")
                return UNREADABLE
        refuse_contradictions(options)
        _refuse_copies(options)
        shop, ask = load_shop(), ask_of(options)
        shown, missing, status = _read_all(options, ask)
        if not shown:
            return UNREADABLE
        report = _report(options, shown, missing, ask, shop)
    except (ValueError, OutlineError, LightError, StoreError) as error:
        say(f"error[usage]: {error}")
        return WRONG_USAGE
    for path in files:
        try:
            write_whole(path, _content(report, path.suffix.lower()))
        except OSError as error:
            say(f"error[cannot_write]: {path}: {error.strerror}. Give another file.")
            return UNREADABLE
        if not options.quiet:
            say(f"written: {path}")
    return status


def _refuse_copies(options: argparse.Namespace) -> None:
    """ValueError where two photos of a set are one file; with --same-plug a copy counts once."""
    copies = () if options.same_plug else once_each(options.photos)[1]
    if copies:
        copy, of = copies[0]
        raise ValueError(
            f"{copy} is the same photo as {of}, and one photo is no second plug: give each its own."
        )


def _file(name: str) -> Path:
    path = Path(name)
    if path.suffix.lower() not in KINDS:
        raise ValueError(f"--out takes a file that ends in {', '.join(KINDS)}, not '{name}'.")
    return path


def _read_all(options: argparse.Namespace, ask: Ask) -> tuple[list[Shown], list[str], int]:
    """The readings with their photos, the photos that are left out as they could not be opened, and
    the exit status."""
    shown: list[Shown] = []
    missing: list[str] = []
    status = READ_OK
    for readings, opened in read_in_turn(options, ask, chosen_model(options)):
        status = status if opened else UNREADABLE
        shown += [shown_with_photo(one) for one in readings if one.outcome != "unreadable"]
        missing += [one.photo for one in readings if one.outcome == "unreadable"]
    if len(shown) > MOST_PLUGS:
        raise ValueError(f"A report takes up to {MOST_PLUGS} plugs of one engine.")
    return shown, missing, status


def _report(
    options: argparse.Namespace,
    shown: Sequence[Shown],
    missing: Sequence[str],
    ask: Ask,
    shop: Shop,
) -> _Report:
    engine, beside = ask.engine, engine_words(ask.engine, ask.facts)
    said = [] if options.cylinders is None else options.cylinders.split(",")
    if len(said) == len(options.photos):  # a name for each photo
        said = [one for one, name in zip(said, options.photos, strict=True) if name not in missing]
    alone = len(shown) == 1
    labels = ("",) if alone and not said else labels_of([one.reading for one in shown], said)
    trend = None
    if options.earlier is not None:
        if not alone:
            raise ValueError("--earlier looks back on one plug: give one photo with it.")
        plug = whose(shown[0].reading.photo, engine.name, labels[0])
        trend = _trend(Path(options.earlier), shown[0], plug, options.quiet)
    return _Report(shown, labels, engine, ask.facts, beside, shop, trend, missing)


def _trend(folder: Path, shown: Shown, plug: Whose, quiet: bool) -> Trend | None:
    """How the plug has changed since the readings in a folder; what does not count is said."""
    earlier = earlier_readings(folder, plug)
    for fault in earlier.skipped:
        say(f"note: skipped {fault}")
    if earlier.others and not quiet:
        say(
            f"note: {folder} has other plugs as well, by engine, cylinder or name of their photos;"
            f" they do not count: {', '.join(earlier.others)}."
        )
    now = earlier_of(shown.reading, shown.taken, plug)
    if now is None:
        why = "nothing was measured in this photo, so that there is nothing to look back from"
    elif before := [one for one in earlier.found if not one.shows_the_photo_of(now)]:
        return trend_of([*before, now])
    elif earlier.found:
        why = f"all that {folder} has of {plug.words} is this photo"
    else:
        why = f"{folder} has no earlier reading of {plug.words}"
    if not quiet:
        say(f"note: no trend: {why}.")
    return None


def _content(report: _Report, kind: str) -> bytes:
    """The bytes of a file; each form is loaded only when it is asked for."""
    shop = report.shop
    if kind == ".json":
        from tipvision.report.report_json import report_json

        text = report_json(
            report.shown,
            report.labels,
            report.engine,
            report.facts,
            shop,
            report.trend,
            report.missing,
        )
        return text.encode("ascii")
    left_out = not_in_report(report.missing)
    if len(report.shown) == 1:
        told = contents_of(report.shown[0], report.trend, engine=report.told)
        told = replace(told, unseen=(*told.unseen, *left_out))
        if kind == ".pdf":
            from tipvision.report.plug_pdf import plug_pdf

            return plug_pdf(told, shop)
        from tipvision.report.page import plug_page

        return plug_page(told, shop).encode("utf-8")
    from tipvision.report.set_contents import set_contents_of

    title = report.engine.name or "One engine"
    together = set_contents_of(report.shown, report.labels, title, report.told)
    together = replace(together, unseen=(*together.unseen, *(("", one) for one in left_out)))
    if kind == ".pdf":
        from tipvision.report.set_pdf import set_pdf

        return set_pdf(together, shop)
    from tipvision.report.set_page import set_page

    return set_page(together, shop).encode("utf-8")
