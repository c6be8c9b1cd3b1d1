"""What several photos of one plug say together.

Each photo's evidence is the ln of its probabilities less their mean; the prior, equal over the
labels, is gone with that. Evidence of independent photos would add up. Photos of one plug share
errors (the same deposits, the same model), so the sum is tempered by how many photos speak:

    e = Σᵢ eᵢ / (1 + (n − 1) SHARED),     n = (Σᵢ |eᵢ|)² / Σᵢ |eᵢ|²

n is the effective number of photos, 1 where all evidence comes from one of them, so that a photo
which tells nothing changes nothing. Source of both formulas, the design effect of a cluster and the
effective number of unequal weights: from memory, unchecked; that they help is measured, by the
command named below.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import chain

import numpy as np

from tipvision.condition.condition import CONDITIONS, FINDINGS, LABELS, Condition
from tipvision.condition.curves import Array
from tipvision.condition.judge import answers, reasons_for
from tipvision.condition.model import Model
from tipvision.condition.retake import AGAIN
from tipvision.record.reason import Reason

# Share of a photo's error that another photo of the plug has as well; measured:
# python -m pipelines.condition.same_plug --rows train.npz (photos from one side under one lamp, so
# photos from several sides may share less: the careful side).
SHARED = 0.9
BY_CHANCE = 0.1  # photos disagree where chance makes it rarer than this; our estimate
LEAST = 1e-12  # probability that counts as none
APART = Reason(
    "undecided",
    "The photos speak for different answers, more often than chance would have it.",
    "Check that all photos show the same plug and that each outline lies on the nose, and read"
    " each photo alone.",
)


def together(
    conditions: Sequence[Condition], heated: bool, model: Model, again: str = AGAIN
) -> Condition:
    """One condition of what the model says of each photo of a plug; their order does not matter.

    heated: whether any photo shows a sign of heat. again: as in `judge.judge`.

    A photo that is unlike anything the model knows makes the plug so. Where the photos disagree the
    labels of each stay possible. No evidence is told: sentences speak of one photo. Raises
    ValueError for no condition.
    """
    findings = strongest([one.findings for one in conditions])
    told = pooled([one.probabilities for one in conditions])
    asked = {label: p for label, p in told.items() if label in CONDITIONS or p > 0}
    possible = answers(asked, heated, model)
    sets = [one.possible for one in conditions]
    outside = any(r.code == "outside_model" for one in conditions for r in one.reasons)
    reasons = reasons_for(possible, outside, again)
    if disagree(sets, model.coverage):
        either = {*possible, *chain.from_iterable(sets)}
        possible = tuple(sorted(either, key=lambda label: (-told[label], LABELS.index(label))))
        reasons = reasons if outside else (APART,)
    best = possible[0]
    return Condition(
        label=None if best == "none" else best,
        probabilities=told,
        possible=possible,
        coverage=model.coverage,
        findings=findings,
        reasons=reasons,
    )


def pooled(photos: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """Probabilities over `LABELS` of several photos' probabilities over them.

    "none" is weighed against all conditions as one, by those photos alone that leave it open: where
    it is 0 no finding stood for it, which says nothing of what another photo shows.
    Raises ValueError for no photo.
    """
    if not photos:
        raise ValueError("no photo says nothing")
    chances = np.array([[one[label] for label in CONDITIONS] for one in photos])
    logs = np.log(np.maximum(chances, LEAST))
    scores = tempered(logs - logs.mean(axis=1, keepdims=True))
    shares = np.exp(scores - scores.max())
    shares /= shares.sum()
    open_to_none = [one["none"] for one in photos if one["none"] > 0]
    none = _pooled_odds(open_to_none) if open_to_none else 0.0
    return {**dict(zip(CONDITIONS, ((1 - none) * shares).tolist(), strict=True)), "none": none}


def _pooled_odds(chances: Sequence[float]) -> float:
    known = np.clip(chances, LEAST, 1 - LEAST)
    (odds,) = tempered(np.log(known / (1 - known))[:, None])
    return float(1 / (1 + np.exp(-odds)))


def tempered(evidence: Array, shared: float = SHARED) -> Array:
    """The sum of photos' evidence (m, c), tempered as the module says; float64 (c,).

    shared: 0 to 1, what photos have in common of their errors.
    """
    sizes = np.sort(np.linalg.norm(evidence, axis=1))
    if sizes[-1] == 0:
        return np.zeros(evidence.shape[1])
    count = sizes.sum() ** 2 / (sizes**2).sum()
    in_order = evidence[np.lexsort(evidence.T)]  # the same sum, to the last bit, in any order
    return np.asarray(in_order.sum(axis=0) / (1 + (count - 1) * shared))


def strongest(photos: Sequence[Mapping[str, float | None]]) -> dict[str, float | None]:
    """Each finding as the photo that shows it best has it; None where no photo was judged for it.

    A crack seen from one side is there, though the other side hides it; and photos that only hint
    at it, with errors in common, do not prove it by being many.
    """
    told = {name: [p for one in photos if (p := one[name]) is not None] for name in FINDINGS}
    return {name: max(known, default=None) for name, known in told.items()}


def disagree(sets: Sequence[Sequence[str]], coverage: float) -> bool:
    """Whether photos' sets of labels lie further apart than chance explains.

    Each set misses the truth in 1 - coverage of plugs. The label that most sets hold is missed by
    the others; were it the truth, that many misses and more would come with a binomial probability,
    and below `BY_CHANCE` the photos disagree: two with nothing in common, two of three or four.
    """
    count, miss = len(sets), 1 - coverage
    most = max(sum(label in one for one in sets) for label in LABELS)
    chance = sum(
        math.comb(count, k) * miss**k * coverage ** (count - k)
        for k in range(count - most, count + 1)
    )
    return chance < BY_CHANCE
