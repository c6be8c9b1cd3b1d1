"""Dealing out kinds of photo in exact shares: a shuffled deck of slots, block after block.

Drawing each photo on its own would leave the counts to luck; a set of a few hundred could lack
what a requirement names. Within a block of `BLOCK` photos the counts hold to one; which photo has
what is shuffled by the block's own seed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from pipelines.studio.looks.look import Look, common, look

BLOCK = 400


@dataclass(frozen=True)
class Slot:
    """What a photo is to show; `condition` None: only findings, `plug` False: nothing to read."""

    plug: bool
    condition: str | None
    mixed: bool
    pale: bool
    reference: str


def slot(name: str, index: int) -> Slot:
    """The slot of photo `index` of a look."""
    return _block(name, index // BLOCK)[index % BLOCK]


@cache
def _block(name: str, block: int) -> tuple[Slot, ...]:
    of, shared = look(name), common()
    rng = np.random.default_rng([of.seeds[0], block, 41])
    many = round(of.plugs * BLOCK)
    kinds: list[tuple[str | None, bool, bool]] = []
    for condition, count in zip(
        [c for c, _ in of.conditions], counts([s for _, s in of.conditions], many), strict=True
    ):
        share = 0.0 if condition == "none" else shared["mixtures"]["share"]
        mixed = int(np.ceil(share * count))
        pale = int(np.ceil(shared["normal"]["pale"] * count)) if condition == "normal" else 0
        # Pale and mixed are drawn apart, so that some pale plugs lie between two looks too.
        flags = rng.permutation(count) < pale
        label = None if condition == "none" else condition
        kinds += [(label, k < mixed, bool(flags[k])) for k in range(count)]
    plugs = [kinds[k] for k in rng.permutation(many)]
    references = [n for n, _ in of.references]
    dealt = _dealt(references, counts([s for _, s in of.references], many), rng)
    slots = [
        Slot(True, condition, mixed, pale, reference)
        for (condition, mixed, pale), reference in zip(plugs, dealt, strict=True)
    ]
    rest = BLOCK - many
    empty = _dealt(references, counts([s for _, s in of.references], rest), rng)
    slots += [Slot(False, None, False, False, reference) for reference in empty]
    return tuple(slots[k] for k in rng.permutation(BLOCK))


def another(of: Look, rng: np.random.Generator) -> Slot:
    """A further plug of a row, drawn like the first but with its own condition."""
    names, shares = zip(*of.conditions, strict=True)
    condition = str(rng.choice(names, p=shares))
    mixed, pale = rng.random(2) < [common()["mixtures"]["share"], common()["normal"]["pale"]]
    if condition == "none":
        return Slot(True, None, False, False, "no_reference")
    is_pale = bool(pale) and condition == "normal"
    return Slot(True, condition, bool(mixed), is_pale, "no_reference")


def counts(shares: Sequence[float], total: int) -> list[int]:
    """Whole numbers that sum to `total` and are nearest to the shares (largest remainders)."""
    exact = np.array(shares) / sum(shares) * total
    out = np.floor(exact).astype(int)
    for k in np.argsort(out - exact, kind="stable")[: total - int(out.sum())]:
        out[k] += 1
    return [int(v) for v in out]


def _dealt(names: list[str], many: list[int], rng: np.random.Generator) -> list[str]:
    cards = [name for name, count in zip(names, many, strict=True) for _ in range(count)]
    return [cards[k] for k in rng.permutation(len(cards))]
