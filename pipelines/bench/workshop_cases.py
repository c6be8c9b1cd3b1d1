"""Engines with a known cause, drawn from the knowledge with every weight disturbed.

One case: a kind of engine by chance, what the photo says of the condition, and the true condition
by those very probabilities, so that they are calibrated; the cause by its share of that condition,
and what the photo shows besides and what each check would give by what the cause says of them.
Every number of the knowledge that is drawn from is first multiplied by a factor from 1/2 to 2, its
logarithm uniform, new for each case: the truth never has the weights that the tool believes in.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipvision.causes.explanation import Engine
from tipvision.causes.known import FUELS, STROKES, Knowledge, KnownCause
from tipvision.condition.condition import FINDINGS, LABELS, Condition

LARGEST_FACTOR = 2.0
SURE = (0.5, 1.0)  # how sure a photo is of what it takes for most probable, evenly between
SHOWN, UNSEEN = 0.9, 0.02  # probability of a finding that is there, and of one that is not
COVERAGE = 0.95
WITH_A_FAULT = ("dry_black", "wet_black", "chalk_white", "none")
KNOWN_BEFORE = ("cooling", "turbocharged")  # of the engine itself, whatever is checked


@dataclass(frozen=True)
class Case:
    """results: by fact, what a check would give. sure: the photo's highest probability."""

    engine: Engine
    condition: Condition
    cause: str
    results: Mapping[str, str]

    @property
    def sure(self) -> float:
        return max(self.condition.probabilities.values())

    def told(self) -> dict[str, str]:
        return {name: self.results[name] for name in KNOWN_BEFORE}


def draw_case(knowledge: Knowledge, rng: np.random.Generator) -> Case:
    """A case whose cause is a fault; one with "none" as its condition shows a finding."""
    while True:
        engine = Engine(str(rng.choice(STROKES)), str(rng.choice(FUELS)))
        photo = _photo(rng)
        label = str(rng.choice(LABELS, p=list(photo.values())))
        if label not in WITH_A_FAULT:
            continue
        cause = _cause(engine, label, knowledge, rng)
        findings = {name: _shows(name, cause, knowledge, rng) for name in FINDINGS}
        if label != "none" or any(findings.values()):
            break
    ranked = sorted(LABELS, key=lambda name: -photo[name])
    reached = np.cumsum([photo[name] for name in ranked])
    condition = Condition(
        label=None if ranked[0] == "none" else ranked[0],
        probabilities=photo,
        possible=tuple(ranked[: 1 + int(np.searchsorted(reached, COVERAGE))]),
        coverage=COVERAGE,
        findings={name: SHOWN if there else UNSEEN for name, there in findings.items()},
    )
    results = {name: _result(name, cause, knowledge, rng) for name in knowledge.facts}
    return Case(engine, condition, cause.id, results)


def _photo(rng: np.random.Generator) -> dict[str, float]:
    """Probabilities over `LABELS`: one that speaks of a fault leads, the rest lies anyhow."""
    first, sure = str(rng.choice(WITH_A_FAULT)), rng.uniform(*SURE)
    rest = iter((1 - sure) * rng.dirichlet(np.ones(len(LABELS) - 1)))
    return {name: sure if name == first else float(next(rest)) for name in LABELS}


def _cause(
    engine: Engine, label: str, knowledge: Knowledge, rng: np.random.Generator
) -> KnownCause:
    stroke = engine.stroke or STROKES[0]
    fitting = [c for c in knowledge.causes.values() if c.fault and c.kind.fits(engine)]
    shares = disturbed([cause.share[stroke].get(label, 0.0) for cause in fitting], rng)
    return fitting[rng.choice(len(fitting), p=shares / shares.sum())]


def _shows(finding: str, cause: KnownCause, knowledge: Knowledge, rng: np.random.Generator) -> bool:
    share = cause.findings.get(finding, knowledge.findings[finding].usual)
    with_, without = disturbed([share, 1.0 - share], rng)
    return bool(rng.random() < with_ / (with_ + without))


def _result(fact: str, cause: KnownCause, knowledge: Knowledge, rng: np.random.Generator) -> str:
    known = knowledge.facts[fact]
    possible = {
        result: 0.0 if cause.id not in known.leaves.get(result, (cause.id,)) else share
        for result, share in cause.facts.get(fact, known.usual).items()
    }
    shares = disturbed(list(possible.values()), rng)
    return list(possible)[rng.choice(len(shares), p=shares / shares.sum())]


def disturbed(weights: Sequence[float], rng: np.random.Generator) -> NDArray[np.float64]:
    """Weights, each times its own factor from 1 / `LARGEST_FACTOR` to `LARGEST_FACTOR`."""
    return np.array(weights) * LARGEST_FACTOR ** rng.uniform(-1.0, 1.0, len(weights))
