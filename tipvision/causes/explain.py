"""From a condition and an engine to causes, checks, advice, cautions and a verdict."""

from collections.abc import Mapping

from tipvision.causes.explanation import Check, Engine, Explanation, Sentence, Verdict
from tipvision.causes.facts import told_facts
from tipvision.causes.known import ALWAYS, FOUND, UNJUDGED, UNSETTLED, Knowledge, KnownAdvice
from tipvision.causes.next_checks import is_allowed, next_checks
from tipvision.causes.rank import HINT_FROM, cause_probabilities, ranked_causes
from tipvision.causes.shop import knowledge as known_here
from tipvision.causes.verdict import SHOWN_FROM, dangers, is_settled, verdict
from tipvision.condition.condition import FINDINGS, Condition
from tipvision.workshop.fitting import Fitting, fitting

CERTAIN_FROM = 0.8
"""Of a cause's probability, where something was told: it can be put right (our estimate)."""


def _findings_from(condition: Condition, least: float) -> set[str]:
    return {name for name in FINDINGS if (condition.findings.get(name) or 0.0) >= least}


def _advice(
    condition: Condition,
    engine: Engine,
    told: Mapping[str, str],
    judged: Verdict,
    is_found: bool,
    knowledge: Knowledge,
) -> list[KnownAdvice]:
    """Advice on a condition must hold for every answer that the photo allows."""
    situation = _findings_from(condition, SHOWN_FROM)
    if not is_settled(condition):
        situation.add(UNSETTLED)
    if any(condition.findings.get(name) is None for name in dangers(knowledge)):
        situation.add(UNJUDGED)
    if is_found:
        situation.add(FOUND)
    return [
        advice
        for advice in knowledge.advice.values()
        if advice.kind.fits(engine)
        and advice.plug in (None, judged.plug)
        and all(told.get(fact) in results for fact, results in advice.told.items())
        and is_allowed(advice.needs, judged)
        and (situation & set(advice.applies) or set(condition.possible) <= set(advice.applies))
    ]


def _cautions(
    condition: Condition,
    engine: Engine,
    judged: Verdict,
    checks: tuple[Check, ...],
    advice: list[KnownAdvice],
    fitted: tuple[Fitting, ...],
    knowledge: Knowledge,
) -> tuple[Sentence, ...]:
    """A caution is shown as soon as one answer, hinted finding, check, advice or the verdict on the
    engine asks for it."""
    named = {id_ for check in checks for id_ in check.cautions}
    named |= {id_ for piece in advice for id_ in piece.cautions}
    named |= {id_ for piece in fitted for id_ in piece.cautions}
    situation = {ALWAYS, judged.engine, *condition.possible} | _findings_from(condition, HINT_FROM)
    return tuple(
        Sentence(caution.id, caution.text)
        for caution in knowledge.cautions.values()
        if caution.kind.fits(engine) and (caution.id in named or situation & set(caution.applies))
    )


def explain(
    condition: Condition, engine: Engine, facts: Mapping[str, str] | None = None
) -> Explanation:
    """Why the plug looks so on this engine, what to check, what to do, and what to beware of.

    Causes: at most six, most probable first (`rank.py`). Checks: at most four, most useful first
    (`next_checks.py`). Advice and cautions: each once, in the order of the knowledge files. After
    the advice stands what the engine's own facts say of the plug that goes in (`fitting.py` of
    `workshop/`), unless the engine must not be started. The verdict is the most cautious of what
    the photo allows (`verdict.py`).

    facts: results of checks and what was told, by the ids of `knowledge/facts.toml`; they move
    causes and checks, and can make the verdict more cautious, never bolder.

    Raises ValueError for an engine of unknown stroke or fuel and for facts that are not known or do
    not fit, KnowledgeError for a knowledge file, the shop's or the package's, that is wrong.
    """
    knowledge = known_here()
    told, engine = told_facts(facts or {}, engine, knowledge)
    judged = verdict(condition, knowledge, told)
    probabilities = cause_probabilities(condition, engine, told, knowledge)
    causes = ranked_causes(probabilities, knowledge)
    checks = next_checks(probabilities, engine, told, judged, knowledge)
    found = bool(told) and any(
        cause.probability >= CERTAIN_FROM and knowledge.causes[cause.id].fault for cause in causes
    )
    advice = _advice(condition, engine, told, judged, found, knowledge)
    fitted = () if judged.engine == "do_not_start" else fitting(engine, judged.plug == "replace")
    return Explanation(
        causes=causes,
        checks=checks,
        advice=(
            *(Sentence(piece.id, piece.text) for piece in advice),
            *(Sentence(piece.id, piece.text) for piece in fitted),
        ),
        cautions=_cautions(condition, engine, judged, checks, advice, fitted, knowledge),
        verdict=judged,
    )
