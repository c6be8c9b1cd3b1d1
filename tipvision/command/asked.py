"""What the options of `read`, `report` and `batch` ask for."""

import argparse
from collections.abc import Sequence
from dataclasses import replace

from tipvision.causes.explanation import Engine
from tipvision.causes.facts import parse_fact, told_facts
from tipvision.causes.shop import knowledge
from tipvision.command.copies import once_each
from tipvision.command.said import said_of
from tipvision.condition.model import Model
from tipvision.engine_file import load_engine
from tipvision.reading import EVERY_PLUG, Ask
from tipvision.teaching.store import model_called, model_in_use
from tipvision.tip.outline import parse_outline


def ask_of(options: argparse.Namespace) -> Ask:
    """What the options say of each photo.

    Raises ValueError, with the right form, for one that says nothing, StoreError for a stored light
    that is not there or cannot be used.
    """
    engine, facts = _engine(options), _facts(options.fact)
    told_facts(facts, engine, knowledge())  # refused here, before a photo is opened
    return Ask(
        outline=None if options.tip is None else parse_outline(options.tip),
        light=said_of(options),
        plug=None if options.plug is None else _plug_number(options.plug),
        engine=engine,
        facts=facts,
    )


def refuse_contradictions(options: argparse.Namespace) -> None:
    """ValueError where the options do not go with the photos that they stand beside."""
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


def _facts(told: Sequence[str]) -> dict[str, str]:
    """What NAME=RESULT tell, by name; ValueError for two that contradict each other."""
    facts: dict[str, str] = {}
    for name, result in map(parse_fact, told):
        if facts.setdefault(name, result) != result:
            raise ValueError(f"--fact says of {name} both '{facts[name]}' and '{result}'.")
    return facts


def _plug_number(text: str) -> int:
    if text == "all":
        return EVERY_PLUG
    if not text.isdecimal() or int(text) < 1:
        raise ValueError(f"--plug takes a number from 1 up, or 'all', not '{text}'.")
    return int(text)
