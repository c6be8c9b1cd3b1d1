"""What a report says of one plug, in words, the same for a page and for a printed sheet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision import __version__
from tipvision.causes.explanation import Explanation
from tipvision.comparison.trend import Trend
from tipvision.condition.condition import LABELS, Condition
from tipvision.measure.bands import load_bands
from tipvision.measure.measurement import Measurement
from tipvision.record import SCHEMA_VERSION
from tipvision.record.reading import Reading
from tipvision.record.reason import Reason
from tipvision.report.answer import Answer, answer, findings, heeded, photo_name, plug_words
from tipvision.report.axis import Axis, Measured, draw_axis
from tipvision.report.decided import in_plain_words
from tipvision.report.engine_words import NOTHING_TOLD, EngineWords
from tipvision.report.nothing_found import looked_for, retake
from tipvision.report.picture import Figure, close_up, whole_photo
from tipvision.report.same_plug import same_plug_words
from tipvision.report.set_words import trend_words
from tipvision.report.unseen import unseen
from tipvision.report.words import (
    CONDITIONS,
    ENGINE_VERDICTS,
    PLUG_VERDICTS,
    VIEWS,
    colour_words,
    day_words,
    light_words,
    listed,
    taken_words,
)
from tipvision.report.wrap import printable
from tipvision.workshop.fitting import FITTING

FAINT = 0.01  # probability below which an answer that the photo rules out gets no bar
MOST_CAUSES, MOST_CHECKS, MOST_EVIDENCE = 5, 4, 3  # what fits on the sheet
MOST_EARLIER, LONGEST_DAY = 4, 16
IMPRINT = (
    f"tipvision {__version__} · record schema {SCHEMA_VERSION} · colours are CIELAB under D65,"
    " 2° observer"
)


@dataclass(frozen=True)
class Shown:
    """A reading with its photo.

    picture: uint8 RGB (h, w, 3), the photo as displayed or a reduction of it; None leaves it out.
    taken:   when the photo was taken, as its metadata has it ("YYYY:MM:DD HH:MM:SS") or in words;
             None where it is not known.
    """

    reading: Reading
    picture: NDArray[np.uint8] | None = None
    taken: str | None = None


@dataclass(frozen=True)
class Contents:
    """Everything that is said of one plug, in the order of importance.

    possible:   (answer, probability, whether the photo allows it), most probable first.
    faint:      the answers that are not worth a bar, in one phrase.
    looked_for, retake: what was looked for and how to go on, where no nose was found.
    causes:     (rank in words, texts). cause_shares: (text, probability) of every cause.
    checks:     (minutes, text, the cautions that stand with it).
    engine:     which engine it is, and what was told of it.
    fitted:     what the engine's own facts say of the plug that goes in.
    trend:      how the plug has changed since earlier readings.
    evidence:   what decided, strongest first, with its exact weights.
    decided:    which photos, where they are several, then as much of it as the sheet shows, in
                plain words.
    distances:  (CIEDE2000, band, share of the nose nearest to it), nearest first.
    """

    name: str
    plug: str | None
    taken: str | None
    answer: Answer
    reasons: tuple[Reason, ...]
    looked_for: tuple[str, ...]
    retake: tuple[str, ...]
    figures: tuple[tuple[str, Figure], ...]
    view: str | None
    plug_verdict: str | None
    engine_verdict: str | None
    stop: bool
    possible: tuple[tuple[str, float, bool], ...]
    faint: str
    faint_count: int
    coverage: float | None
    findings: tuple[tuple[str, float], ...]
    evidence: tuple[str, ...]
    decided: tuple[str, ...]
    axis: Axis | None
    trend: str | None
    colour: str | None
    lab: tuple[str, ...]
    distances: tuple[tuple[float, str, float], ...]
    causes: tuple[tuple[str, tuple[str, ...]], ...]
    causes_left: int
    cause_shares: tuple[tuple[str, float], ...]
    checks: tuple[tuple[int, str, str], ...]
    checks_left: int
    advice: tuple[str, ...]
    fitted: tuple[str, ...]
    cautions: tuple[str, ...]
    unseen: tuple[str, ...]
    light: str | None
    model: str | None
    engine: EngineWords = NOTHING_TOLD
    imprint: str = IMPRINT


def contents_of(
    shown: Shown,
    trend: Trend | None = None,
    whole: bool = True,
    engine: EngineWords = NOTHING_TOLD,
) -> Contents:
    """A reading in the words of a report.

    trend: with it, the earlier readings stand beside this one. whole: whether the whole photo
    belongs to the figures where there is a close-up. engine: what was told beside the photo.
    """
    reading, explanation = shown.reading, shown.reading.explanation
    measured, condition = reading.measurement, reading.condition
    possible, faint = _possible(condition)
    evidence = condition.evidence if condition else None
    causes = explanation.causes if explanation else ()
    checks = explanation.checks if explanation else ()
    advice = explanation.advice if explanation else ()
    return Contents(
        name=photo_name(reading),
        plug=plug_words(reading),
        taken=None if shown.taken is None else printable(taken_words(shown.taken)),
        answer=answer(reading),
        reasons=reading.reasons,
        looked_for=looked_for(reading),
        retake=retake(reading),
        figures=_figures(shown, whole),
        view=VIEWS.get(reading.tips[0].view) if len(reading.tips) == 1 else None,
        plug_verdict=PLUG_VERDICTS[explanation.verdict.plug] if explanation else None,
        engine_verdict=ENGINE_VERDICTS[explanation.verdict.engine] if explanation else None,
        stop=explanation is not None and explanation.verdict.engine == "do_not_start",
        possible=tuple(possible),
        faint=listed(faint).capitalize(),
        faint_count=len(faint),
        coverage=condition.coverage if condition else None,
        findings=tuple(findings(reading)),
        evidence=() if evidence is None else evidence.sentences(),
        decided=(*same_plug_words(reading), *in_plain_words(evidence, MOST_EVIDENCE)),
        axis=None if measured is None else draw_axis(load_bands(), _marked(measured, trend)),
        trend=None if trend is None else trend_words(trend),
        colour=None if measured is None else colour_words(measured.lab),
        lab=() if measured is None else lab_words(measured),
        distances=() if measured is None else _distances(measured),
        causes=_causes(explanation),
        causes_left=max(len(causes) - MOST_CAUSES, 0),
        cause_shares=tuple((cause.text, cause.probability) for cause in causes),
        checks=tuple(
            (check.minutes, check.text, heeded(check, explanation.cautions))
            for check in checks[:MOST_CHECKS]
            if explanation is not None
        ),
        checks_left=max(len(checks) - MOST_CHECKS, 0),
        advice=tuple(piece.text for piece in advice if piece.id not in FITTING),
        fitted=tuple(piece.text for piece in advice if piece.id in FITTING),
        cautions=tuple(c.text for c in explanation.cautions) if explanation else (),
        unseen=unseen(reading),
        light=light_sentence(reading),
        model=" ".join(reading.model.values()) if reading.model else None,
        engine=engine,
    )


def _marked(measured: Measurement, trend: Trend | None) -> list[Measured]:
    """What is marked on the axis: the last of the earlier readings, then this one."""
    earlier = trend.readings[:-1][-MOST_EARLIER:] if trend is not None else ()
    return [
        *(
            Measured(
                "earlier" if one.taken is None else printable(day_words(one.taken))[:LONGEST_DAY],
                np.array(one.lab),
                np.array(one.sd),
            )
            for one in earlier
        ),
        Measured("this nose", measured.lab, measured.sd),
    ]


def lab_words(measured: Measurement) -> tuple[str, ...]:
    """L*, a* and b* with the half-width of their 95 % intervals."""
    return tuple(
        f"{name}\u00a0{value:.1f}\u00a0±\u00a0{1.96 * sd:.1f}"
        for name, value, sd in zip(("L*", "a*", "b*"), measured.lab, measured.sd, strict=True)
    )


def light_sentence(reading: Reading) -> str | None:
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


def _figures(shown: Shown, whole: bool) -> tuple[tuple[str, Figure], ...]:
    """(what it shows, figure): the close-up first, then the whole photo."""
    if shown.picture is None:
        return ()
    reading, figures = shown.reading, []
    if len(reading.tips) == 1:
        near = close_up(shown.picture, reading.tips[0], reading.size)
        if near is not None:
            figures.append(("The insulator nose, close up", near))
    if whole or not figures:
        figures.append(("The whole photo", whole_photo(shown.picture, reading.tips, reading.size)))
    return tuple(figures)


def _possible(condition: Condition | None) -> tuple[list[tuple[str, float, bool]], list[str]]:
    """(name, probability, whether the photo allows it), and the names that are not worth a bar."""
    if condition is None:
        return [], []
    rows = [(CONDITIONS[k][0], condition.probabilities[k], k in condition.possible) for k in LABELS]
    rows.sort(key=lambda row: (-row[2], -row[1]))
    faint = [name.lower() for name, share, allowed in rows if share < FAINT and not allowed]
    return [row for row in rows if row[2] or row[1] >= FAINT], faint


def _distances(measured: Measurement) -> tuple[tuple[float, str, float], ...]:
    return tuple(
        sorted(
            (measured.bands[name], CONDITIONS[name][0], measured.shares[name])
            for name in measured.bands
        )
    )


def _causes(explanation: Explanation | None) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """(rank in words, causes of that rank), in the order of the explanation."""
    by_rank: dict[str, list[str]] = {}
    for cause in explanation.causes[:MOST_CAUSES] if explanation else ():
        by_rank.setdefault(cause.rank_word, []).append(cause.text)
    return tuple((rank.capitalize(), tuple(texts)) for rank, texts in by_rank.items())
