"""What decided, in words for a workshop; `condition.evidence` has the same with its numbers."""

import math
import re
from collections.abc import Sequence

from tipvision.condition.evidence import AGAINST

# How a sentence of `evidence_for` ends that is about one feature, and what its last one says.
_WEIGHED = re.compile(r"(?P<said>.*) \((?P<weight>[+-]\d+\.\d)\)\.")
_IN_ALL = re.compile(
    r"All else comes to [+-]\d+\.\d, the doubt in the light to [+-]\d+\.\d:"
    r" (?P<score>[+-]\d+\.\d) in all for (?P<ours>.+) against (?P<theirs>.+), as ln odds\."
)

# Least size of a weight, as ln odds -> word: from five to one, and from two to one; our estimate.
_HOW = ((math.log(5.0), "strongly"), (math.log(2.0), "clearly"), (0.0, "a little"))
MOST_TIMES = 1000  # that are told: no photo is surer


def weightiest(evidence: tuple[str, ...], most: int) -> tuple[str, ...]:
    """The first `most` sentences on single features and the last, on all together; the last of
    the first gives way to the strongest that speaks against the answer, where none of them does."""
    single, whole = evidence[:-1], evidence[-1:]
    shown = single[:most]
    against = [sentence for sentence in single if sentence.startswith(AGAINST)][:1]
    return (*(shown if set(against) <= set(shown) else (*shown[: most - 1], *against)), *whole)


def in_plain_words(evidence: Sequence[str]) -> tuple[str, ...]:
    """The sentences of `evidence_for`: each says first whether it speaks for the answer or against
    it and how strongly, the last how many times as likely as the next the answer is.

    Any other sentence stays as it is.
    """
    return tuple(map(_plain, evidence))


def _plain(sentence: str) -> str:
    if found := _WEIGHED.fullmatch(sentence):
        said, weight = found["said"].removeprefix(AGAINST), float(found["weight"])
        side = "Against it" if weight < 0.0 else "For it"
        return f"{side}, {_how(weight)}: {said[:1].lower()}{said[1:]}."
    if found := _IN_ALL.fullmatch(sentence):
        times = _times(math.exp(float(found["score"])))
        return (
            f"With all else that was measured, {found['ours']} is {times} as likely as"
            f" {found['theirs']}."
        )
    return sentence


def _how(weight: float) -> str:
    return next(word for least, word in _HOW if abs(weight) >= least)


def _times(ratio: float) -> str:
    """Two figures at most: a weight is rounded to a tenth."""
    if ratio > MOST_TIMES:
        return f"over {MOST_TIMES} times"
    if ratio < 9.95:
        return f"{ratio:.1f} times"
    return f"{float(f'{ratio:.2g}'):.0f} times"
