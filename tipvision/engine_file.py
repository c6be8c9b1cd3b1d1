"""The engine file: what a shop knows of one engine, as TOML that a mechanic can write."""

import tomllib
from collections.abc import Collection
from pathlib import Path
from typing import Any

from tipvision.causes.explanation import Engine
from tipvision.causes.known import COOLINGS, FUELS, STROKES
from tipvision.one_line import one_line
from tipvision.workshop.air import COLDEST_C, HIGHEST_M, HOTTEST_C, LOWEST_M
from tipvision.workshop.figures import HEADS, SEATS, THREADS, figures
from tipvision.workshop.heat_range import SCALES
from tipvision.workshop.units import MM_PER_INCH

LONGEST_NAME = 80


class EngineFileError(ValueError):
    """The file cannot be used; the message is one line with the file, the fault and the remedy."""


def load_engine(path: str | Path) -> Engine:
    """The engine in a file; EngineFileError for one that cannot be read or is not right."""
    try:
        return parse_engine(Path(path).read_text("utf-8-sig"), str(path))
    except UnicodeDecodeError as error:
        raise EngineFileError(f"{path}: it is not UTF-8 text. Give an engine file.") from error
    except OSError as error:
        raise EngineFileError(f"{path}: {error.strerror}. Give an engine file.") from error


def parse_engine(text: str, file: str) -> Engine:
    """The engine in the text of a file; every field may be left out.

    Raises EngineFileError for text that is not TOML, an unknown field (a misspelt one would be
    lost without a word), or a value that is not what the field takes.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        fault = f"{file}: it is not valid TOML: {one_line(error)}. Correct it."
        raise EngineFileError(fault) from error
    top = _Table(file, "", data)
    plug, jetting = top.table("plug"), top.table("jetting")
    engine = Engine(
        stroke=top.choice("stroke", STROKES),
        fuel=top.choice("fuel", FUELS),
        cooling=top.choice("cooling", COOLINGS),
        name=top.name("name"),
        thread=plug.choice("thread", THREADS),
        seat=plug.choice("seat", SEATS),
        head=plug.choice("head", HEADS),
        gap_mm=plug.gap(),
        scale=plug.choice("heat_range", SCALES),
        jetted_at_m=jetting.number("altitude_m", LOWEST_M, HIGHEST_M),
        jetted_at_c=jetting.number("temperature_c", COLDEST_C, HOTTEST_C),
    )
    for table in (top, plug, jetting):
        table.finish()
    return engine


class _Table:
    """One table of the file; what is left when all is taken is a misspelt field."""

    def __init__(self, file: str, name: str, fields: dict[str, Any]) -> None:
        self._file, self._name, self._fields = file, name, dict(fields)

    def _fault(self, key: str, words: str) -> EngineFileError:
        where = f"{self._name}.{key}" if self._name else key
        return EngineFileError(f"{self._file}: `{where}` {words}. Correct it.")

    def table(self, name: str) -> "_Table":
        fields = self._fields.pop(name, {})
        if not isinstance(fields, dict):
            raise self._fault(name, f"is not a table: write [{name}] on a line of its own")
        return _Table(self._file, name, fields)

    def choice(self, key: str, allowed: Collection[str]) -> str | None:
        value = self._fields.pop(key, None)
        if value is not None and (not isinstance(value, str) or value not in allowed):
            raise self._fault(key, f"is {value!r}, not one of {', '.join(allowed)}")
        return value

    def name(self, key: str) -> str | None:
        value = self._fields.pop(key, None)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip() or not value.isprintable():
            raise self._fault(key, "is not a name in plain letters")
        if len(value) > LONGEST_NAME:
            raise self._fault(key, f"is longer than {LONGEST_NAME} letters")
        return value.strip()

    def number(self, key: str, least: float, most: float) -> float | None:
        value = self._fields.pop(key, None)
        return None if value is None else self._within(key, value, least, most)

    def gap(self) -> tuple[float, float] | None:
        """`gap_mm` or `gap_in`: one number or a list of two."""
        keys = [key for key in ("gap_mm", "gap_in") if key in self._fields]
        if len(keys) > 1:
            raise self._fault("gap_mm", "and `gap_in` both stand there: keep one of them")
        if not keys:
            return None
        (key,) = keys
        value = self._fields.pop(key)
        ends = value if isinstance(value, list) else [value, value]
        unit = MM_PER_INCH if key == "gap_in" else 1.0
        if len(ends) != 2:
            raise self._fault(key, "is not one number or two in brackets")
        possible = figures()["gap_possible_mm"]
        low, high = (
            unit * self._within(key, end, possible.low / unit, possible.high / unit) for end in ends
        )
        if low > high:
            raise self._fault(key, "has its larger number first")
        return low, high

    def _within(self, key: str, value: object, least: float, most: float) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._fault(key, f"is {value!r}, not a number")
        if not least <= value <= most:
            raise self._fault(key, f"is {value}, not within {least:.4g} to {most:.4g}")
        return float(value)

    def finish(self) -> None:
        for key in self._fields:
            raise self._fault(key, "is no field of an engine file")
