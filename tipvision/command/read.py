"""`tipvision read`: photos in, readings out."""

import argparse

from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.command.asked import ask_of, chosen_model, refuse_contradictions
from tipvision.command.in_turn import read_in_turn
from tipvision.command.written import OutputNames, folder_to_write, save_mask, save_report
from tipvision.light.said import LightError
from tipvision.light.store import StoreError
from tipvision.record.as_json import to_json
from tipvision.record.reading import Reading
from tipvision.report.engine_words import engine_words
from tipvision.report.shop import Shop, load_shop
from tipvision.tip.outline import OutlineError


def run(options: argparse.Namespace) -> int:
    """Read each photo in turn and print it; a bad photo never stops the others."""
    try:
        refuse_contradictions(options)
        ask = ask_of(options)
        reports = folder_to_write(options.report)
        masks = folder_to_write(options.masks)
        shop = Shop() if reports is None else load_shop()
        model = chosen_model(options)
    except (ValueError, OSError, StoreError) as error:
        return _wrong_usage(str(error))
    status, names = READ_OK, OutputNames()
    try:
        for readings, opened in read_in_turn(options, ask, model):
            status = status if opened else UNREADABLE
            for reading in readings:
                _print(reading, options)
                name = names.of(reading)
                try:
                    if reports is not None:
                        told = engine_words(ask.engine, ask.facts)
                        page = save_report(reading, reports / f"{name}.html", shop, told)
                        _say_written(page, options.quiet)
                    if masks is not None and reading.tips:
                        _say_written(save_mask(reading, masks / f"{name}.png"), options.quiet)
                except OSError as error:
                    status = UNREADABLE
                    say(f"error[cannot_write]: {name}: {error.strerror}. Give another folder.")
    except (OutlineError, LightError) as error:
        return _wrong_usage(str(error))
    return status


def _print(reading: Reading, options: argparse.Namespace) -> None:
    if options.json:
        print(to_json(reading), flush=True)
    elif reading.outcome != "unreadable":
        from tipvision.report.terminal import report_for_screen

        print(report_for_screen(reading, options.numbers), flush=True)


def _say_written(path: object, quiet: bool) -> None:
    if not quiet:
        say(f"written: {path}")


def _wrong_usage(fault: str) -> int:
    say(f"error[usage]: {fault}")
    return WRONG_USAGE
