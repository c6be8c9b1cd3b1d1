"""What a check gives is a distribution for every cause, told facts left out."""

import pytest

from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.results import outcomes, outlook

KNOWN = shipped_knowledge()


@pytest.mark.parametrize("check", KNOWN.checks.values(), ids=list(KNOWN.checks))
def test_results_are_a_distribution_for_every_cause(check) -> None:
    causes = list(KNOWN.causes.values())
    table = outcomes(check, causes, {}, KNOWN)
    assert table.min() >= 0
    assert table.sum(axis=1) == pytest.approx([1.0] * len(causes))
    assert outlook(check.id, frozenset(), KNOWN) == pytest.approx(table)
    assert len(outcomes(check, causes, {check.tells[0]: ""}, KNOWN)[0]) < len(table[0])


def test_a_result_comes_as_often_as_the_cause_says() -> None:
    choke = outcomes(KNOWN.checks["choke"], [KNOWN.causes["choke_on"]], {}, KNOWN)
    results = list(KNOWN.facts["choke"].usual)
    assert choke[0, results.index("stuck")] == 1.0
    assert choke[0, results.index("free")] == 0.0
