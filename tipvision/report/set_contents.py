"""What a report says of the plugs of one engine together, in words."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from tipvision.causes.explanation import Check, Explanation, Sentence, Verdict
from tipvision.causes.known import ENGINE_WORDS, Knowledge
from tipvision.causes.next_checks import is_allowed
from tipvision.causes.rank import rank_word
from tipvision.causes.shop import knowledge as known_here
from tipvision.comparison.odd_one import Comparison, compare
from tipvision.comparison.set_causes import SetCauses, set_causes
from tipvision.condition.evidence import Evidence
from tipvision.measure.bands import load_bands
from tipvision.record.reading import Reading
from tipvision.report.answer import heeded
from tipvision.report.axis import Axis, Measured, draw_axis
from tipvision.report.contents import IMPRINT, Contents, Shown, contents_of
from tipvision.report.decided import in_plain_words
from tipvision.report.engine_words import NOTHING_TOLD, EngineWords
from tipvision.report.set_words import comparison_words
from tipvision.report.words import ENGINE_VERDICTS, listed, opening
from tipvision.workshop.fitting import FITTING

MOST_CHECKS, MOST_CAUSES, MOST_EVIDENCE = 6, 5, 2
MOST_OF_ONE = 2  # causes of a plug that stand beside those of the set
FITTING_IDS = frozenset(FITTING)


@dataclass(frozen=True)
class SetContents:
    """title:      what the set is called. plugs: (label, what is said of it) in the order given.
    engine:     which engine it is, and what was told of it.
    compared:   which stands apart, or that none does.
    causes:     (heading, (text, rank in words)) for what belongs to single plugs, for what is
                shared, and for each plug whose own first causes are neither.
    cause_shares: (text, plugs in words, share).
    checks:     (minutes, text, the cautions that stand with it).
    by_plug:    (label, sentences): what decided.
    advice, unseen, lights: (plugs in words, sentence); "" where it holds for all plugs.
    """

    title: str
    plugs: tuple[tuple[str, Contents], ...]
    comparison: Comparison
    compared: tuple[str, ...]
    engine_verdict: str | None
    stop: bool
    axis: Axis | None
    causes: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    cause_shares: tuple[tuple[str, str, float], ...]
    checks: tuple[tuple[int, str, str], ...]
    advice: tuple[tuple[str, str], ...]
    fitted: tuple[str, ...]
    cautions: tuple[str, ...]
    by_plug: tuple[tuple[str, tuple[str, ...]], ...]
    unseen: tuple[tuple[str, str], ...]
    lights: tuple[tuple[str, str], ...]
    model: str | None
    engine: EngineWords = NOTHING_TOLD
    imprint: str = IMPRINT


def set_contents_of(
    shown: Sequence[Shown],
    labels: Sequence[str],
    title: str,
    engine: EngineWords = NOTHING_TOLD,
) -> SetContents:
    """The plugs of one engine in the words of a report; `labels` names each of them.

    The engine is one: its verdict is the most cautious of all plugs, and no check or advice that it
    forbids is taken over from another plug.
    """
    readings = [one.reading for one in shown]
    told = [contents_of(one, whole=False) for one in shown]
    explained = [r.explanation for r in readings if r.explanation is not None]
    verdict = _most_cautious(explained)
    comparison = compare(readings)
    causes = set_causes(readings, comparison)
    measured = [
        Measured(label, reading.measurement.lab, reading.measurement.sd)
        for label, reading in zip(labels, readings, strict=True)
        if reading.measurement is not None
    ]
    knowledge = known_here()
    checks = _checks(labels, readings, verdict, knowledge)
    advice = _allowed_advice(explained, verdict, knowledge)
    cautions = _cautions(explained, knowledge)
    return SetContents(
        title=title,
        plugs=tuple(zip(labels, told, strict=True)),
        comparison=comparison,
        compared=comparison_words(readings, labels, comparison),
        engine_verdict=None if verdict is None else ENGINE_VERDICTS[verdict.engine],
        stop=verdict is not None and verdict.engine == "do_not_start",
        axis=draw_axis(load_bands(), measured) if measured else None,
        causes=_cause_lists(labels, told, comparison, causes),
        cause_shares=tuple(
            (cause.text, listed([labels[i] for i in cause.plugs]), cause.probability)
            for cause in (*causes.own, *causes.shared)
        ),
        checks=tuple((c.minutes, c.text, heeded(c, cautions)) for c in checks[:MOST_CHECKS]),
        advice=_grouped(labels, [_texts(r.explanation, advice - FITTING_IDS) for r in readings]),
        fitted=tuple(dict.fromkeys(t for e in explained for t in _texts(e, advice & FITTING_IDS))),
        cautions=tuple(caution.text for caution in cautions),
        by_plug=tuple(
            (label, sentences)
            for label, one in zip(labels, readings, strict=True)
            if (sentences := in_plain_words(_evidence(one), MOST_EVIDENCE))
        ),
        unseen=_grouped(labels, [one.unseen for one in told]),
        lights=_grouped(labels, [() if one.light is None else (one.light,) for one in told]),
        engine=engine,
        model=next((one.model for one in told if one.model), None),
    )


def _most_cautious(explained: Sequence[Explanation]) -> Verdict | None:
    verdicts = [explanation.verdict for explanation in explained]
    return max(verdicts, key=lambda v: ENGINE_WORDS.index(v.engine), default=None)


def _checks(
    labels: Sequence[str],
    readings: Sequence[Reading],
    verdict: Verdict | None,
    knowledge: Knowledge,
) -> list[Check]:
    """Each check once, first what stands first with most plugs, with the plugs that ask for it
    where not all do."""
    place: dict[str, list[int]] = {}
    asking: dict[str, list[str]] = {}
    by_id: dict[str, Check] = {}
    explained = [
        (label, reading.explanation)
        for label, reading in zip(labels, readings, strict=True)
        if reading.explanation is not None
    ]
    for label, explanation in explained:
        for number, check in enumerate(explanation.checks):
            place.setdefault(check.id, []).append(number)
            asking.setdefault(check.id, []).append(label)
            by_id[check.id] = check
    allowed = [id_ for id_ in by_id if _allowed(_needs(knowledge.checks, id_), verdict)]
    allowed.sort(key=lambda id_: (min(place[id_]), -len(place[id_])))
    shared = {id_ for id_, plugs in asking.items() if len(plugs) == len(explained)}
    return [
        by_id[id_]
        if id_ in shared
        else replace(by_id[id_], text=f"{opening(listed(asking[id_]))}: {by_id[id_].text}")
        for id_ in allowed
    ]


def _allowed_advice(
    explained: Sequence[Explanation], verdict: Verdict | None, knowledge: Knowledge
) -> set[str]:
    """Ids of the advice that the engine's verdict does not forbid."""
    ids = {piece.id for explanation in explained for piece in explanation.advice}
    if verdict is not None and verdict.engine == "do_not_start":
        ids -= FITTING_IDS
    return {id_ for id_ in ids if _allowed(_needs(knowledge.advice, id_), verdict)}


def _texts(explanation: Explanation | None, ids: Collection[str]) -> list[str]:
    advice = explanation.advice if explanation is not None else ()
    return [piece.text for piece in advice if piece.id in ids]


def _needs(known: Mapping[str, object], id_: str) -> str:
    """What the engine must do for a check or a piece of advice."""
    return str(getattr(known.get(id_), "needs", "nothing"))


def _allowed(needs: str, verdict: Verdict | None) -> bool:
    return verdict is None or is_allowed(needs, verdict)


def _cautions(explained: Sequence[Explanation], knowledge: Knowledge) -> list[Sentence]:
    """Each caution once, in the order of the knowledge files, the gravest first."""
    pieces = {c.id: c for explanation in explained for c in explanation.cautions}
    order = {id_: number for number, id_ in enumerate(knowledge.cautions)}
    return sorted(pieces.values(), key=lambda c: order.get(c.id, len(order)))


def _evidence(reading: Reading) -> Evidence | None:
    return None if reading.condition is None else reading.condition.evidence


def _cause_lists(
    labels: Sequence[str], told: Sequence[Contents], comparison: Comparison, causes: SetCauses
) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """What belongs to single plugs, then what is shared, then the first causes of each plug that
    these lists do not name."""
    lists, named = [], {c.text for c in causes.shared[:MOST_CAUSES]}
    alone = {plug: [c for c in causes.own if c.plugs == (plug,)] for plug in comparison.odd}
    for plug, mine in alone.items():
        if mine:
            ranked = tuple((c.text, rank_word(c.probability)) for c in mine[:MOST_CAUSES])
            lists.append((f"In {labels[plug]} alone", ranked))
    if causes.shared:
        whose = "the others" if comparison.odd else "the plugs"
        common = tuple((c.text, rank_word(c.probability)) for c in causes.shared[:MOST_CAUSES])
        lists.append((f"Shared by {whose}", common))
    for plug, one in enumerate(told):
        first = one.cause_shares[:MOST_OF_ONE]
        if not alone.get(plug) and any(text not in named for text, _ in first):
            ranked = tuple((text, rank_word(share)) for text, share in first)
            lists.append((f"{opening(labels[plug])}, taken by itself", ranked))
    return tuple(lists)


def _grouped(
    labels: Sequence[str], sentences: Sequence[Sequence[str]]
) -> tuple[tuple[str, str], ...]:
    """Each sentence once, with the plugs that it holds for; no plugs are named where all share."""
    whose: dict[str, list[str]] = {}
    for label, own in zip(labels, sentences, strict=True):
        for sentence in own:
            whose.setdefault(sentence, []).append(label)
    grouped = [
        ("" if len(plugs) == len(labels) else listed(plugs), sentence)
        for sentence, plugs in whose.items()
    ]
    return tuple(sorted(grouped, key=lambda pair: bool(pair[0])))  # what holds for all comes first
