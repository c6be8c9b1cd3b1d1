"""`tipvision read`: photos in, readings out."""

import argparse
from collections.abc import Iterator
from dataclasses import replace

from tipvision.causes.explanation import Engine
from tipvision.causes.facts import parse_fact, told_facts
from tipvision.causes.shop import knowledge
from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.command.copies import once_each
from tipvision.command.said import said_of
from tipvision.command.written import OutputNames, folder_to_write, save_mask, save_report
from tipvision.condition.model import Model
from tipvision.engine_file import load_engine
from tipvision.light.said import LightError
from tipvision.light.store import StoreError
from tipvision.reading import EVERY_PLUG, Ask, read
from tipvision.record.as_json import to_json
from tipvision.record.reading import Reading
from tipvision.report.engine_words import engine_words
from tipvision.report.shop import Shop, load_shop
from tipvision.same_plug import same_plug
from tipvision.teaching.store import model_called, model_in_use
from tipvision.tip.outline import OutlineError, parse_outline


def run(options: argparse.Namespace) -> int:
    """Read each photo in turn and print it; a bad photo never stops the others."""
    try:
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


def read_in_turn(
    options: argparse.Namespace, ask: Ask, model: Model
) -> Iterator[tuple[tuple[Reading, ...], bool]]:
    """The readings of each photo, or with --same-plug the one of all, and whether every photo
    could be opened; what is to be said of the photos is said.

    Raises OutlineError or LightError when what was asked does not fit a photo.
    """
    held: list[Reading] = []
    opened = True
    photos, copies = once_each(options.photos) if options.same_plug else (options.photos, ())
    for copy, of in () if options.quiet else copies:
        say(f"note: {copy}: a copy of {of}, so it is no second witness and counts once.")
    for photo in photos:
        readings = read(photo, ask, model)
        if not options.quiet:
            say_notes(readings[0])
        faults = [reading for reading in readings if reading.outcome == "unreadable"]
        for reading in faults:
            say_fault(reading)
        if options.same_plug:
            held.extend(readings)
            opened = opened and not faults
        else:
            yield readings, not faults
    if options.same_plug:
        one = same_plug(held, ask, model)
        if not options.quiet:
            _say_left_out(one)
        yield (one,), opened


def ask_of(options: argparse.Namespace) -> Ask:
    """What the options say; ValueError, with the right form, for one that says nothing."""
    if options.tip is not None and len(options.photos) > 1:
        raise ValueError("--tip outlines the nose in one photo: give one photo with it.")
    if options.grey_card is not None and len(options.photos) > 1:
        raise ValueError("--grey-card points into one photo: give one photo with it.")
    if options.same_plug and len(options.photos) < 2:
        raise ValueError("--same-plug reads several photos as one: give two or more photos of it.")
    if options.same_plug and len(once_each(options.photos)[0]) < 2:
        raise ValueError(
            "--same-plug was given one photo more than once, and a copy is no second witness: "
            "give another photo of the plug."
        )
    if options.same_plug and options.plug == "all":
        raise ValueError("--same-plug reads one plug: give --plug a number, or leave it out.")
    engine, facts = _engine(options), _facts(options)
    told_facts(facts, engine, knowledge())  # refused here, before a photo is opened
    return Ask(
        outline=None if options.tip is None else parse_outline(options.tip),
        light=said_of(options),
        plug=None if options.plug is None else _plug_number(options.plug),
        engine=engine,
        facts=facts,
    )


def chosen_model(options: argparse.Namespace) -> Model:
    """The model that was asked for, or else the one in use.

    Raises ValueError when there is none of that name, ModelFault when it is damaged.
    """
    return model_in_use() if options.model is None else model_called(options.model)


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


def _print(reading: Reading, options: argparse.Namespace) -> None:
    if options.json:
        print(to_json(reading), flush=True)
    elif reading.outcome != "unreadable":
        from tipvision.report.terminal import report_for_screen

        print(report_for_screen(reading, options.numbers), flush=True)


def say_fault(reading: Reading) -> None:
    """Why a photo could not be opened, on standard error."""
    (reason,) = reading.reasons
    say(f"error[{reason.code}]: {reading.photo}: {reason.text} {reason.remedy}")


def say_notes(reading: Reading) -> None:
    """What a person should know of the light, on standard error."""
    for note in () if reading.light is None else reading.light.notes:
        say(f"note: {reading.photo}: {note}")


def _say_left_out(reading: Reading) -> None:
    """Which photos of a plug did not count, on standard error."""
    for photo, codes in () if reading.together is None else reading.together.left_out:
        if "cannot_open" not in codes:  # said already
            say(f"note: {photo}: left out of the reading ({', '.join(codes)}).")


def _say_written(path: object, quiet: bool) -> None:
    if not quiet:
        say(f"written: {path}")


def _wrong_usage(fault: str) -> int:
    say(f"error[usage]: {fault}")
    return WRONG_USAGE
