"""The labels that a photo allows."""

from hypothesis import given
from hypothesis import strategies as st

from tipvision.condition.condition import CONDITIONS
from tipvision.condition.sets import allowed

CHANCES = st.lists(st.floats(0.001, 1), min_size=5, max_size=5).map(
    lambda weights: {k: w / sum(weights) for k, w in zip(CONDITIONS, weights, strict=True)}
)
LEAST = st.lists(st.floats(0, 1.01), min_size=5, max_size=5).map(
    lambda values: dict(zip(CONDITIONS, values, strict=True))
)


@given(CHANCES, LEAST)
def test_the_likeliest_is_always_possible_and_comes_first(chances, least):
    possible = allowed(chances, least)
    assert chances[possible[0]] == max(chances.values())
    assert [chances[k] for k in possible] == sorted((chances[k] for k in possible), reverse=True)


@given(CHANCES, LEAST)
def test_a_label_is_possible_when_it_reaches_its_own_threshold(chances, least):
    others = set(CONDITIONS) - {allowed(chances, least)[0]}
    assert {k for k in others if chances[k] >= least[k]} == set(allowed(chances, least)[1:])


@given(CHANCES, LEAST, st.floats(0, 1))
def test_more_coverage_never_shrinks_the_answer(chances, least, share):
    lower = {label: share * value for label, value in least.items()}
    assert set(allowed(chances, least)) <= set(allowed(chances, lower))
