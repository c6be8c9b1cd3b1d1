"""`tipvision reckon`: the sums of the bench, each with its cautions and its sources."""

import argparse
import json
import shutil
from collections.abc import Callable, Mapping

from tipvision.causes.explanation import Engine
from tipvision.causes.known import FUELS
from tipvision.command import READ_OK, WRONG_USAGE, say
from tipvision.engine_file import load_engine
from tipvision.report.wrap import wrap
from tipvision.workshop.air import Air
from tipvision.workshop.figures import figures
from tipvision.workshop.gap import gap
from tipvision.workshop.heat_range import heat_range_step
from tipvision.workshop.mixture import mixture
from tipvision.workshop.tightening import tightening
from tipvision.workshop.tip_temperature import tip_temperature
from tipvision.workshop.units import (
    ALTITUDES,
    LENGTHS,
    has_unit,
    parse_celsius,
    parse_quantity,
    parse_span,
)
from tipvision.workshop.worked import Worked

LEAST_WIDTH, MOST_WIDTH = 30, 100
IN_MILS = 10.0  # from which a gap without a unit is rather in thousandths of an inch; our estimate


def run(options: argparse.Namespace) -> int:
    """Work out one sum and print it; what is wrong with the question is said in one line."""
    try:
        engine = Engine() if options.engine_file is None else load_engine(options.engine_file)
        worked = _SUMS[options.sum](options, engine)
    except ValueError as error:
        say(f"error[usage]: {str(error).rstrip('.')}.")
        return WRONG_USAGE
    print(_as_json(options.sum, worked) if options.json else _in_words(worked))
    return READ_OK


def _gap(options: argparse.Namespace, engine: Engine) -> Worked:
    measured, specified = parse_quantity(options.gap, LENGTHS), engine.gap_mm
    in_millimetres = False
    if options.specified is not None:
        specified = parse_span(options.specified, LENGTHS)
        _refuse_bare_inches(options.specified, specified[0])
        in_millimetres = "in" not in options.specified
    if measured > 0.0 and not in_millimetres:  # a specification in mm tells the gap's unit as well
        _refuse_bare_inches(options.gap, measured)
    return gap(measured, specified)


def _refuse_bare_inches(text: str, least_mm: float) -> None:
    """Without a unit, figures so small are inches more likely than millimetres, and figures so
    large thousandths of an inch."""
    if has_unit(text):
        return
    if least_mm < figures()["gap_possible_mm"].low:
        raise ValueError(f"Say the unit of {text}: {text}in, or {text}mm")
    if least_mm >= IN_MILS:
        inches = "-".join(f"{end / 1000:g}" for end in dict.fromkeys(parse_span(text, LENGTHS)))
        raise ValueError(f"Say the unit of {text}: in thousandths of an inch that is {inches}in")


def _heat_range(options: argparse.Namespace, engine: Engine) -> Worked:
    scale = engine.scale if options.scale is None else options.scale.replace("-", "_")
    return heat_range_step(options.number, scale, options.towards, options.changed)


def _tip_temperature(options: argparse.Namespace, _: Engine) -> Worked:
    celsius = None if options.temperature is None else parse_celsius(options.temperature)
    return tip_temperature(celsius)


def _mixture(options: argparse.Namespace, engine: Engine) -> Worked:
    jetted_at, jetted_in = engine.jetted_at_m, engine.jetted_at_c
    if options.jetted_at is not None:
        jetted_at = parse_quantity(options.jetted_at, ALTITUDES)
    if options.jetted_in is not None:
        jetted_in = parse_celsius(options.jetted_in)
    if jetted_at is None:
        raise ValueError("Say the altitude that the jets were chosen for with --jetted-at")
    fuel = options.fuel or engine.fuel
    if fuel is not None and fuel not in FUELS:
        raise ValueError(f"'{fuel}' is not one of {', '.join(FUELS)}")
    here = Air(
        parse_quantity(options.at, ALTITUDES),
        None if options.in_air is None else parse_celsius(options.in_air),
        parse_quantity(options.humidity, {"%": 1.0}) / 100.0,
    )
    jet = None if options.jet is None else _jet_number(options.jet)
    return mixture(Air(jetted_at, jetted_in), here, fuel, jet, options.numbered_by)


def _jet_number(text: str) -> float:
    try:
        return parse_quantity(text, {"": 1.0})
    except ValueError:
        raise ValueError(f"'{text}' is no number of a jet, such as 120") from None


def _tightening(options: argparse.Namespace, engine: Engine) -> Worked:
    words = {
        name: getattr(options, name) or getattr(engine, name) for name in ("thread", "seat", "head")
    }
    for name, word in words.items():
        if word is None:
            raise ValueError(f"Say the {name} with --{name}, or give an engine file that has it")
    return tightening(**words, used_gasket=options.used_gasket)


_SUMS: Mapping[str, Callable[[argparse.Namespace, Engine], Worked]] = {
    "gap": _gap,
    "heat-range": _heat_range,
    "tip-temperature": _tip_temperature,
    "mixture": _mixture,
    "tightening": _tightening,
}


def _in_words(worked: Worked) -> str:
    width = min(max(shutil.get_terminal_size().columns, LEAST_WIDTH), MOST_WIDTH)
    lines = [line for sentence in worked.sentences for line in wrap(sentence, width)]
    lines.append("")
    for number, caution in enumerate(worked.caution_texts(), 1):
        lines += wrap(caution, width, f"{number}! ")
    lines += wrap(f"From: {'; '.join(worked.sources)}.", width)
    return "\n".join(lines)


def _as_json(name: str, worked: Worked) -> str:
    texts = worked.caution_texts()
    return json.dumps(
        {
            "sum": name,
            "sentences": list(worked.sentences),
            "numbers": dict(worked.numbers),
            "cautions": [
                {"id": id_, "text": text} for id_, text in zip(worked.cautions, texts, strict=True)
            ],
            "sources": list(worked.sources),
        },
        allow_nan=False,
    )
