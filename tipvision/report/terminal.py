"""The reading of one photo for a terminal, to be taken in within seconds."""

import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence

from tipvision.causes.explanation import Check
from tipvision.record.reading import Reading
from tipvision.report.answer import answer, findings, heeded, photo_name, plug_words
from tipvision.report.decided import in_plain_words
from tipvision.report.same_plug import same_plug_words
from tipvision.report.words import (
    CONDITIONS,
    ENGINE_VERDICTS,
    PLUG_VERDICTS,
    VIEWS,
    colour_words,
    light_words,
    listed,
    percent,
)
from tipvision.report.wrap import wrap

LEAST_WIDTH = 30
_LABEL = 10  # columns of the words at the left edge


def report_for_screen(reading: Reading, numbers: bool = False) -> str:
    """`terminal_report` for standard output as it is: its width, and style only on a terminal."""
    styled = sys.stdout.isatty() and "NO_COLOR" not in os.environ
    return terminal_report(reading, styled, shutil.get_terminal_size().columns, numbers)


def one_line(reading: Reading) -> str:
    """Photo and answer on one line, however long."""
    return f"{_heading(reading)}: {answer(reading).sentence}".replace("\u00a0", " ")


def terminal_report(reading: Reading, colour: bool, width: int, numbers: bool = False) -> str:
    """The reading as lines of at most `width` columns (at least `LEAST_WIDTH`), newline at the end.

    With `colour` the answer and the words at the left edge are bold and asides dim; they say the
    same without. With `numbers` what decided has its exact weights, else plain words.
    """
    width = max(width, LEAST_WIDTH)
    dim, bold = (_styled(colour, code) for code in ("2", "1"))
    lines = [dim(line) for line in wrap(_heading(reading), width)]
    lines += [bold(line) for line in wrap(answer(reading).sentence, width)]
    if reading.outcome == "unreadable":
        said = " ".join(f"{reason.text} {reason.remedy}" for reason in reading.reasons)
        return "\n".join(lines + wrap(said, width)) + "\n"
    lines.append("")
    for label, items in _sections(reading, numbers):
        for number, (mark, text) in enumerate(items):
            heading = (label if number == 0 else "").ljust(_LABEL)
            first, *more = wrap(text, width, heading + mark)
            lines += [bold(heading) + first[_LABEL:], *more]
    return "\n".join(lines) + "\n"


def _heading(reading: Reading) -> str:
    return ", ".join(filter(None, [photo_name(reading), plug_words(reading)]))


def _styled(colour: bool, code: str) -> Callable[[str], str]:
    return lambda text: f"\x1b[{code}m{text}\x1b[0m" if colour and text.strip() else text


Item = tuple[str, str]  # mark in front of the first line, text


def _sections(reading: Reading, numbers: bool) -> Iterator[tuple[str, list[Item]]]:
    yield "Why not", [("", f"{r.text} {r.remedy}") for r in reading.reasons]
    explanation = reading.explanation
    if explanation is not None:
        verdict = explanation.verdict
        yield "Plug", [("", f"{PLUG_VERDICTS[verdict.plug]}.")]
        yield "Engine", [("", f"{ENGINE_VERDICTS[verdict.engine]}.")]
    yield "Photos", _dotted(same_plug_words(reading))
    yield "Answers", _answers(reading)
    yield "Findings", [("", f"{name}, {percent(share)}") for name, share in findings(reading)]
    yield "Colour", _colour(reading)
    yield "Light", _light(reading)
    if len(reading.tips) == 1:
        tip = reading.tips[0]
        seen = "outlined by hand" if tip.view is None else VIEWS[tip.view]
        yield "View", [("", f"{seen}, nose {tip.nose_px:.0f} pixels across")]
    if reading.condition is not None:
        evidence = reading.condition.evidence
        exact = evidence.sentences() if numbers and evidence is not None else None
        yield "Decided", _dotted(in_plain_words(evidence) if exact is None else exact)
    if explanation is None:
        return
    rank = max((len(cause.rank_word) for cause in explanation.causes), default=0) + 2
    yield "Causes", [(cause.rank_word.ljust(rank), cause.text) for cause in explanation.causes]
    checks = [
        (f"{check.minutes:>3} min  ", f"{check.text} ({heed})" if heed else check.text)
        for check in explanation.checks
        for heed in [heeded(check, explanation.cautions)]
    ]
    yield "Check", [*checks, *_how_to_tell(explanation.checks)]
    yield "Advice", _dotted(piece.text for piece in explanation.advice)
    yield (
        "Cautions",
        [(f"{number}! ", caution.text) for number, caution in enumerate(explanation.cautions, 1)],
    )


def _how_to_tell(checks: Sequence[Check]) -> list[Item]:
    """By which names the results of these checks are entered."""
    facts = list(dict.fromkeys(fact for check in checks for fact in check.tells))
    if not facts:
        return []
    names = listed(facts)
    return [("- ", f"What a check gave moves the causes: --fact NAME=RESULT, here {names}.")]


def _dotted(texts: Iterable[str]) -> list[Item]:
    return [("- ", text) for text in texts]


def _answers(reading: Reading) -> list[Item]:
    """The answers left, where there is more than one."""
    condition = reading.condition
    if condition is None or len(condition.possible) < 2:
        return []
    shares = [
        f"{CONDITIONS[label][0].lower()} {percent(condition.probabilities[label])}"
        for label in condition.possible
    ]
    return [("", listed(shares, "or"))]


def _colour(reading: Reading) -> list[Item]:
    if reading.measurement is None:
        return []
    lab, sd = reading.measurement.lab, reading.measurement.sd
    nearest = min(reading.measurement.bands.items(), key=lambda pair: pair[1])
    return [
        (
            "",
            f"{colour_words(lab)}, L*\u00a0{lab[0]:.0f}\u00a0±\u00a0{1.96 * sd[0]:.0f},"
            f" a*\u00a0{lab[1]:.1f}, b*\u00a0{lab[2]:.1f}; nearest band"
            f" {CONDITIONS[nearest[0]][0].lower()}, ΔE00\u00a0{nearest[1]:.1f}",
        )
    ]


def _light(reading: Reading) -> list[Item]:
    if reading.light is None:
        return []
    return [("", light_words(reading.light.source, reading.light.cct_k))]
