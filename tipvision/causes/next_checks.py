"""Which checks come next: those that tell most about the causes in the fewest minutes."""

from collections.abc import Sequence

from tipvision.causes.explanation import Cause, Check, Engine, Verdict
from tipvision.causes.knowledge import NEEDS, Knowledge, KnownCheck

MOST_CHECKS = 4  # our estimate


def is_allowed(needs: str, verdict: Verdict) -> bool:
    """Whether the engine may do what a check or a piece of advice needs, under this verdict."""
    most = {"do_not_start": "nothing", "not_under_load": "running"}.get(verdict.engine, "load")
    return NEEDS.index(needs) <= NEEDS.index(most)


def next_checks(
    causes: Sequence[Cause], engine: Engine, verdict: Verdict, knowledge: Knowledge
) -> tuple[Check, ...]:
    """At most `MOST_CHECKS` checks, the most useful first.

    A check is worth the probability of the named causes that it separates, a minute (our estimate).
    One that does not fit the engine, that tells nothing of the named causes, or that the verdict
    forbids is left out. Where the engine must not be started, the look for danger comes first.
    """
    probability = {cause.id: cause.probability for cause in causes}
    in_danger = verdict.engine == "do_not_start"

    def worth(check: KnownCheck) -> float:
        return sum(probability.get(id_, 0.0) for id_ in check.separates) / check.minutes

    def urgent(check: KnownCheck) -> bool:
        return in_danger and check.looks_for_danger

    useful = [
        check
        for check in knowledge.checks.values()
        if check.kind.fits(engine)
        and is_allowed(check.needs, verdict)
        and (urgent(check) or worth(check) > 0)
    ]
    useful.sort(key=lambda check: (not urgent(check), -worth(check)))
    return tuple(
        Check(
            check.id,
            check.text,
            check.minutes,
            tuple(id_ for id_ in check.cautions if knowledge.cautions[id_].kind.fits(engine)),
        )
        for check in useful[:MOST_CHECKS]
    )
