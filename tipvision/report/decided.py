"""What decided, in words for a workshop; `Evidence.sentences` has the same with its weights."""

import math

from tipvision.condition.evidence import Evidence, Sign, lowered

# Least size of a weight, as ln odds -> word: from five to one, and from two to one; our estimate.
_HOW = ((math.log(5.0), "strongly"), (math.log(2.0), "clearly"), (0.0, "a little"))
MOST_TIMES = 1000  # that are told: no photo is surer


def in_plain_words(evidence: Evidence | None, most: int | None = None) -> tuple[str, ...]:
    """A sentence for each sign: whether it speaks for the answer or against it, how strongly, and
    what it is; and a last one: how many times as likely as the next the answer is.

    most: of the signs that are told (default: all of them).
    """
    if evidence is None:
        return ()
    times = _times(math.exp(evidence.score))
    return (
        *map(_plain, _weightiest(evidence.signs, most or len(evidence.signs))),
        f"With all else that was measured, {evidence.label} is {times} as likely as "
        f"{evidence.rival}.",
    )


def _weightiest(signs: tuple[Sign, ...], most: int) -> tuple[Sign, ...]:
    """The first `most`; the last of them gives way to the strongest that speaks against the answer,
    where none of them does."""
    shown = signs[:most]
    against = tuple(sign for sign in signs if sign.against)[:1]
    return shown if set(against) <= set(shown) else (*shown[: most - 1], *against)


def _plain(sign: Sign) -> str:
    side = "Against it" if sign.against else "For it"
    return f"{side}, {_how(sign.weight)}: {lowered(sign.text)}."


def _how(weight: float) -> str:
    return next(word for least, word in _HOW if abs(round(weight, 1)) >= least)


def _times(ratio: float) -> str:
    """Two figures at most: no photo is surer."""
    if ratio > MOST_TIMES:
        return f"over {MOST_TIMES} times"
    if ratio < 9.95:
        return f"{ratio:.1f} times"
    return f"{float(f'{ratio:.2g}'):.0f} times"
