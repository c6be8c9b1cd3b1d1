"""Cases are of the world that the knowledge describes, with other weights."""

from collections import Counter

import numpy as np
import pytest

from pipelines.bench.workshop_cases import KNOWN_BEFORE, WITH_A_FAULT, Case, disturbed, draw_case
from tipvision.causes.facts import told_facts
from tipvision.causes.knowledge import shipped_knowledge

KNOWN = shipped_knowledge()


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    rng = np.random.default_rng(1)
    return [draw_case(KNOWN, rng) for _ in range(150)]


def test_a_case_can_be_told_to_the_tool(cases) -> None:
    for case in cases:
        cause = KNOWN.causes[case.cause]
        assert cause.fault
        assert cause.kind.fits(case.engine)
        assert sum(case.condition.probabilities.values()) == pytest.approx(1)
        told, _ = told_facts(case.told(), case.engine, KNOWN)
        assert set(told) == set(KNOWN_BEFORE)


def test_no_check_contradicts_the_true_cause(cases) -> None:
    for case in cases:
        for name, result in case.results.items():
            fact, cause = KNOWN.facts[name], KNOWN.causes[case.cause]
            assert cause.facts.get(name, fact.usual)[result] > 0
            assert case.cause in fact.leaves.get(result, (case.cause,))


def test_what_is_common_comes_often(cases) -> None:
    labels = Counter(max(WITH_A_FAULT, key=c.condition.probabilities.get) for c in cases)
    assert set(labels) == set(WITH_A_FAULT)
    causes = Counter(case.cause for case in cases)
    assert len(causes) > 25
    assert causes["weak_ignition"] > causes["timing_retarded"]


def test_weights_are_disturbed_by_one_half_to_two() -> None:
    factors = disturbed([1.0] * 2000, np.random.default_rng(2))
    assert 0.5 <= factors.min() < 0.51
    assert 1.96 < factors.max() <= 2.0
    assert np.log(factors).mean() == pytest.approx(0, abs=0.03)
    assert (disturbed([0.0, 1.0], np.random.default_rng(2)) > 0).tolist() == [False, True]


def test_a_seed_is_a_case() -> None:
    first, again, other = (draw_case(KNOWN, np.random.default_rng(seed)) for seed in (5, 5, 6))
    assert first == again
    assert first != other
