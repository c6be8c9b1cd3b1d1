"""The reading of one photo as one self-contained HTML page that prints on a sheet of A4."""

from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipvision import __version__
from tipvision.condition.condition import LABELS, Condition
from tipvision.files import write_whole
from tipvision.measure.bands import load_bands
from tipvision.record import SCHEMA_VERSION
from tipvision.record.reading import Reading
from tipvision.report.answer import answer, findings, heeded, photo_name, plug_words
from tipvision.report.axis import draw_axis
from tipvision.report.picture import Figure, close_up, whole_photo
from tipvision.report.words import (
    CONDITIONS,
    ENGINE_VERDICTS,
    PLUG_VERDICTS,
    VIEWS,
    colour_words,
    light_words,
    listed,
    percent,
    taken_words,
)
from tipvision.report.wrap import printable

FAINT = 0.01  # probability below which an answer that the photo rules out gets no bar
MOST_CAUSES, MOST_CHECKS = 5, 4  # what fits on the sheet; the record holds them all


def report_page(reading: Reading, picture: NDArray[np.uint8] | None, taken: str | None) -> str:
    """The page, without script and without any address outside itself.

    Parameters
    ----------
    picture: uint8 RGB (h, w, 3), the photo as displayed or a reduction of it; None leaves it out.
    taken:   when the photo was taken, as its metadata has it ("YYYY:MM:DD HH:MM:SS") or in words;
             None where it is not known.
    """
    from jinja2 import Environment, FunctionLoader, StrictUndefined  # only when a page is made

    environment = Environment(
        loader=FunctionLoader(_template),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["percent"] = percent
    return environment.get_template("page.html").render(_facts(reading, picture, taken))


def write_report(
    reading: Reading, picture: NDArray[np.uint8] | None, path: Path, taken: str | None = None
) -> None:
    """Write the page to `path`, whole or not at all (OSError when that cannot be done)."""
    write_whole(path, report_page(reading, picture, taken).encode("utf-8"))


def _template(name: str) -> str:
    return resources.files("tipvision.report").joinpath(name).read_text("utf-8")


def _facts(
    reading: Reading, picture: NDArray[np.uint8] | None, taken: str | None
) -> Mapping[str, Any]:
    """Everything the template says, in words."""
    explanation = reading.explanation
    measurement = reading.measurement
    bands = load_bands()
    possible, faint = _possible(reading.condition)
    return {
        "reading": reading,
        "name": photo_name(reading),
        "plug": plug_words(reading),
        "taken": None if taken is None else printable(taken_words(taken)),
        "answer": answer(reading),
        "figures": _figures(reading, picture),
        "possible": possible,
        "faint": listed(faint).capitalize(),
        "faint_count": len(faint),
        "coverage": reading.condition.coverage if reading.condition else None,
        "findings": findings(reading),
        "axis": None if measurement is None else draw_axis(bands, measurement.lab, measurement.sd),
        "colour": None if measurement is None else colour_words(measurement.lab),
        "distances": []
        if measurement is None
        else sorted(
            (measurement.bands[band.name], CONDITIONS[band.name][0], measurement.shares[band.name])
            for band in bands
        ),
        "view": VIEWS.get(reading.tips[0].view) if len(reading.tips) == 1 else None,
        "light": _light(reading),
        "plug_verdict": explanation and PLUG_VERDICTS[explanation.verdict.plug],
        "engine_verdict": explanation and ENGINE_VERDICTS[explanation.verdict.engine],
        "causes": _causes(reading),
        "causes_left": max(len(explanation.causes) - MOST_CAUSES, 0) if explanation else 0,
        "checks": _checks(reading),
        "checks_left": max(len(explanation.checks) - MOST_CHECKS, 0) if explanation else 0,
        "advice": explanation.advice if explanation else (),
        "cautions": explanation.cautions if explanation else (),
        "model": " ".join(reading.model.values()) if reading.model else None,
        "schema": SCHEMA_VERSION,
        "tool": __version__,
    }


def _figures(reading: Reading, picture: NDArray[np.uint8] | None) -> Sequence[tuple[str, Figure]]:
    """(what it shows, figure): the close-up first, then the whole photo."""
    if picture is None:
        return []
    figures = [("The whole photo", whole_photo(picture, reading.tips, reading.size))]
    if len(reading.tips) == 1:
        near = close_up(picture, reading.tips[0], reading.size)
        if near is not None:
            figures.insert(0, ("The insulator nose, close up", near))
    return figures


def _possible(condition: Condition | None) -> tuple[list[tuple[str, float, bool]], list[str]]:
    """(name, probability, whether the photo allows it), and the names that are not worth a bar."""
    if condition is None:
        return [], []
    rows = [(CONDITIONS[k][0], condition.probabilities[k], k in condition.possible) for k in LABELS]
    rows.sort(key=lambda row: (-row[2], -row[1]))
    faint = [name.lower() for name, share, allowed in rows if share < FAINT and not allowed]
    return [row for row in rows if row[2] or row[1] >= FAINT], faint


def _light(reading: Reading) -> str | None:
    """The light and how far it leaves the colour in doubt."""
    if reading.light is None:
        return None
    words = light_words(reading.light.source, reading.light.cct_k)
    if reading.measurement is not None and len(reading.measurement.samples) > 1:
        doubt = 1.96 * reading.measurement.samples.std(axis=0)
        words += (
            f"; it leaves the lightness in doubt by ±\u00a0{doubt[0]:.1f}\u00a0L*"
            f" and the tint by ±\u00a0{np.hypot(doubt[1], doubt[2]):.1f} in a* and b*"
        )
    return words


def _causes(reading: Reading) -> list[tuple[str, list[str]]]:
    """(rank in words, causes of that rank), in the order of the explanation."""
    shown = reading.explanation.causes[:MOST_CAUSES] if reading.explanation else ()
    by_rank: dict[str, list[str]] = {}
    for cause in shown:
        by_rank.setdefault(cause.rank_word, []).append(cause.text)
    return [(rank.capitalize(), texts) for rank, texts in by_rank.items()]


def _checks(reading: Reading) -> list[tuple[int, str, str]]:
    """(minutes, text, the cautions that stand with it)."""
    if reading.explanation is None:
        return []
    return [
        (check.minutes, check.text, heeded(check, reading.explanation))
        for check in reading.explanation.checks[:MOST_CHECKS]
    ]
