"""Conditions and engines for the tests of causes."""

from collections.abc import Callable

import pytest
from hypothesis import strategies as st

from tipvision.causes.explanation import Engine
from tipvision.condition.condition import FINDINGS, LABELS, Condition

_share = st.floats(0, 1)


@st.composite
def _conditions(draw: st.DrawFn) -> Condition:
    raw = draw(st.lists(_share, min_size=len(LABELS), max_size=len(LABELS)).filter(any))
    probabilities = {name: p / sum(raw) for name, p in zip(LABELS, raw, strict=True)}
    order = tuple(sorted(LABELS, key=lambda name: -probabilities[name]))
    findings = {name: draw(st.none() | _share) for name in FINDINGS}
    return Condition(
        label=None if order[0] == "none" else order[0],
        probabilities=probabilities,
        possible=order[: draw(st.integers(1, len(LABELS)))],
        coverage=0.95,
        findings=findings,
    )


st.register_type_strategy(Condition, _conditions())
st.register_type_strategy(
    Engine,
    st.builds(
        Engine,
        st.sampled_from([None, "two", "four"]),
        st.sampled_from([None, "carburettor", "injection"]),
    ),
)


@pytest.fixture(scope="session")
def make_condition() -> Callable[..., Condition]:
    def make(
        probabilities: dict[str, float] | str,
        possible: tuple[str, ...] | None = None,
        **findings: float | None,
    ) -> Condition:
        """A settled condition for one label, or the one with these probabilities."""
        given = {probabilities: 0.9} if isinstance(probabilities, str) else probabilities
        rest = max(0.0, 1 - sum(given.values())) / (len(LABELS) - len(given))
        full = {name: given.get(name, rest) for name in LABELS}
        best = max(full, key=full.__getitem__)
        return Condition(
            label=None if best == "none" else best,
            probabilities=full,
            possible=possible or (best,),
            coverage=0.95,
            findings=dict.fromkeys(FINDINGS, 0.02) | findings,
        )

    return make
