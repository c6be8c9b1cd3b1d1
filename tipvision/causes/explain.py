"""From a condition and an engine to causes, checks, advice, cautions and a verdict."""

from tipvision.causes.explanation import Check, Engine, Explanation, Sentence, Verdict
from tipvision.causes.knowledge import (
    ALWAYS,
    UNJUDGED,
    UNSETTLED,
    Knowledge,
    KnownAdvice,
    shipped_knowledge,
)
from tipvision.causes.next_checks import is_allowed, next_checks
from tipvision.causes.rank import HINT_FROM, ranked_causes
from tipvision.causes.verdict import SHOWN_FROM, dangers, is_settled, verdict
from tipvision.condition.condition import FINDINGS, Condition


def _findings_from(condition: Condition, least: float) -> set[str]:
    return {name for name in FINDINGS if (condition.findings.get(name) or 0.0) >= least}


def _advice(
    condition: Condition, engine: Engine, judged: Verdict, knowledge: Knowledge
) -> list[KnownAdvice]:
    """Advice on a condition must hold for every answer that the photo allows."""
    situation = _findings_from(condition, SHOWN_FROM)
    if not is_settled(condition):
        situation.add(UNSETTLED)
    if any(condition.findings.get(name) is None for name in dangers(knowledge)):
        situation.add(UNJUDGED)
    return [
        advice
        for advice in knowledge.advice.values()
        if advice.kind.fits(engine)
        and advice.plug in (None, judged.plug)
        and is_allowed(advice.needs, judged)
        and (situation & set(advice.applies) or set(condition.possible) <= set(advice.applies))
    ]


def _cautions(
    condition: Condition,
    engine: Engine,
    checks: tuple[Check, ...],
    advice: list[KnownAdvice],
    knowledge: Knowledge,
) -> tuple[Sentence, ...]:
    """A caution is shown as soon as one answer, hinted finding, check or advice asks for it."""
    named = {id_ for check in checks for id_ in check.cautions}
    named |= {id_ for piece in advice for id_ in piece.cautions}
    situation = {ALWAYS, *condition.possible} | _findings_from(condition, HINT_FROM)
    return tuple(
        Sentence(caution.id, caution.text)
        for caution in knowledge.cautions.values()
        if caution.kind.fits(engine) and (caution.id in named or situation & set(caution.applies))
    )


def explain(condition: Condition, engine: Engine) -> Explanation:
    """Why the plug looks so on this engine, what to check, what to do, and what to beware of.

    Causes: at most six, most probable first (`rank.py`). Checks: at most four, most useful first
    (`next_checks.py`). Advice and cautions: each once, in the order of the knowledge files. The
    verdict is the most cautious of what the photo allows (`verdict.py`).

    Raises ValueError for an engine of unknown stroke or fuel, KnowledgeError if the files that come
    with the package are damaged.
    """
    knowledge = shipped_knowledge()
    judged = verdict(condition, knowledge)
    causes = ranked_causes(condition, engine, knowledge)
    checks = next_checks(causes, engine, judged, knowledge)
    advice = _advice(condition, engine, judged, knowledge)
    return Explanation(
        causes=causes,
        checks=checks,
        advice=tuple(Sentence(piece.id, piece.text) for piece in advice),
        cautions=_cautions(condition, engine, checks, advice, knowledge),
        verdict=judged,
    )
