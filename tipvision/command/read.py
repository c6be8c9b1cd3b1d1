"""`tipvision read`: photos in, readings out."""

import argparse
from dataclasses import replace

from tipvision.causes.explanation import Engine
from tipvision.causes.facts import parse_fact, told_facts
from tipvision.causes.shop import knowledge
from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.command.said import said_of
from tipvision.command.written import OutputNames, folder_to_write, save_mask, save_report
from tipvision.engine_file import load_engine
from tipvision.light.said import LightError
from tipvision.light.store import StoreError
from tipvision.reading import EVERY_PLUG, Ask, read
from tipvision.record.as_json import to_json
from tipvision.record.reading import Reading
from tipvision.report.shop import Shop, load_shop
from tipvision.tip.outline import OutlineError, parse_outline


def run(options: argparse.Namespace) -> int:
    """Read each photo in turn and print it; a bad photo never stops the others."""
    try:
        ask = ask_of(options)
        reports = folder_to_write(options.report)
        masks = folder_to_write(options.masks)
        shop = Shop() if reports is None else load_shop()
    except (ValueError, OSError, StoreError) as error:
        return _wrong_usage(str(error))
    status, names = READ_OK, OutputNames()
    for photo in options.photos:
        try:
            readings = read(photo, ask)
        except (OutlineError, LightError) as error:
            return _wrong_usage(str(error))
        if not options.quiet:
            say_notes(readings[0])
        for reading in readings:
            if reading.outcome == "unreadable":
                status = UNREADABLE
                say_fault(reading)
            _print(reading, as_json=options.json)
            name = names.of(reading)
            try:
                if reports is not None:
                    page = save_report(reading, reports / f"{name}.html", shop)
                    _say_written(page, options.quiet)
                if masks is not None and reading.tips:
                    _say_written(save_mask(reading, masks / f"{name}.png"), options.quiet)
            except OSError as error:
                status = UNREADABLE
                say(f"error[cannot_write]: {name}: {error.strerror}. Give another folder.")
    return status


def ask_of(options: argparse.Namespace) -> Ask:
    """What the options say; ValueError, with the right form, for one that says nothing."""
    if options.tip is not None and len(options.photos) > 1:
        raise ValueError("--tip outlines the nose in one photo: give one photo with it.")
    if options.grey_card is not None and len(options.photos) > 1:
        raise ValueError("--grey-card points into one photo: give one photo with it.")
    engine, facts = _engine(options), _facts(options)
    told_facts(facts, engine, knowledge())  # refused here, before a photo is opened
    return Ask(
        outline=None if options.tip is None else parse_outline(options.tip),
        light=said_of(options),
        plug=None if options.plug is None else _plug_number(options.plug),
        engine=engine,
        facts=facts,
    )


def _engine(options: argparse.Namespace) -> Engine:
    """The engine's facts: an option over the engine file.

    Raises EngineFileError for a file that cannot be used.
    """
    engine = Engine() if options.engine_file is None else load_engine(options.engine_file)
    return replace(engine, stroke=options.stroke or engine.stroke, fuel=options.fuel or engine.fuel)


def _facts(options: argparse.Namespace) -> dict[str, str]:
    """What the options tell; ValueError for two that contradict each other."""
    facts: dict[str, str] = {}
    for name, result in map(parse_fact, options.fact):
        if facts.setdefault(name, result) != result:
            raise ValueError(f"--fact says of {name} both '{facts[name]}' and '{result}'.")
    return facts


def _plug_number(text: str) -> int:
    if text == "all":
        return EVERY_PLUG
    if not text.isdecimal() or int(text) < 1:
        raise ValueError(f"--plug takes a number from 1 up, or 'all', not '{text}'.")
    return int(text)


def _print(reading: Reading, as_json: bool) -> None:
    if as_json:
        print(to_json(reading), flush=True)
    elif reading.outcome != "unreadable":
        from tipvision.report.terminal import report_for_screen

        print(report_for_screen(reading), flush=True)


def say_fault(reading: Reading) -> None:
    """Why a photo could not be opened, on standard error."""
    (reason,) = reading.reasons
    say(f"error[{reason.code}]: {reading.photo}: {reason.text} {reason.remedy}")


def say_notes(reading: Reading) -> None:
    """What a person should know of the light, on standard error."""
    for note in () if reading.light is None else reading.light.notes:
        say(f"note: {reading.photo}: {note}")


def _say_written(path: object, quiet: bool) -> None:
    if not quiet:
        say(f"written: {path}")


def _wrong_usage(fault: str) -> int:
    say(f"error[usage]: {fault}")
    return WRONG_USAGE
