"""What may be done with the plug and with the engine: always the most cautious of what speaks."""

from collections.abc import Iterable, Mapping

from tipvision.causes.explanation import Verdict
from tipvision.causes.known import ENGINE_WORDS, PLUG_WORDS, Knowledge
from tipvision.causes.rank import HINT_FROM
from tipvision.condition.condition import FINDINGS, Condition

SHOWN_FROM = 0.5  # a finding is there: more likely than not, as in the record


def is_settled(condition: Condition) -> bool:
    """Whether the photo allows one answer and nothing speaks against it."""
    return len(condition.possible) == 1 and not condition.reasons


def dangers(knowledge: Knowledge) -> tuple[str, ...]:
    """The findings that forbid a start until the cylinder has been looked into."""
    return tuple(
        name for name in FINDINGS if knowledge.verdicts[name].verdict.engine == "do_not_start"
    )


def _most_cautious(words: Iterable[str], scale: tuple[str, ...]) -> str:
    return max(words, key=scale.index)


def verdict(
    condition: Condition, knowledge: Knowledge, facts: Mapping[str, str] | None = None
) -> Verdict:
    """The verdict on plug and engine.

    Each answer that the photo allows and each finding that is there (≥ `SHOWN_FROM`) speaks with
    its own entry, and so does what was found or told (`facts`, as `told_facts` gives them), which
    can make the verdict stricter and never bolder; the most cautious word wins, so that no
    probability outvotes a danger. A danger that is only hinted at (≥ `HINT_FROM`) asks for a check.
    Where the photo does not settle the answer the engine is checked at least, and the plug is
    checked unless every possible answer condemns it alike. Source: the order of caution is our
    estimate; the entries carry their own.
    """
    of_labels = [knowledge.verdicts[x].verdict for x in condition.possible if x != "none"]
    findings = {name: condition.findings.get(name) or 0.0 for name in FINDINGS}
    of_findings = [
        knowledge.verdicts[name].verdict for name, p in findings.items() if p >= SHOWN_FROM
    ]
    look = Verdict("check", "check")
    careful = [look] if any(findings[name] >= HINT_FROM for name in dangers(knowledge)) else []
    if not is_settled(condition) or not (of_labels or of_findings):
        careful.append(look)

    told = [(knowledge.facts[name], result) for name, result in (facts or {}).items()]
    plug_words = {v.plug for v in of_labels}
    if len(plug_words) > 1:
        plug_words = {look.plug}
    plug_words |= {v.plug for v in (*of_findings, *careful)}
    plug_words |= {fact.plug[result] for fact, result in told if result in fact.plug}
    engine_words = {v.engine for v in (*of_labels, *of_findings, *careful)}
    engine_words |= {fact.engine[result] for fact, result in told if result in fact.engine}
    return Verdict(
        _most_cautious(plug_words, PLUG_WORDS), _most_cautious(engine_words, ENGINE_WORDS)
    )
