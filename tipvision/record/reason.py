"""Why a photo was not read: the closed list of codes, each with its sentence and its remedy."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True)
class Reason:
    """One reason, in the words of the record.

    code:   one of the codes in `reasons.toml`.
    text:   one sentence that says what is wrong.
    remedy: one sentence that says what to do about it.
    """

    code: str
    text: str
    remedy: str


@cache
def known_reasons() -> Mapping[str, Mapping[str, str]]:
    """Every code with its `text` and `remedy`, as they stand in `reasons.toml`."""
    data = resources.files("tipvision.record").joinpath("reasons.toml").read_text("utf-8")
    return tomllib.loads(data)


def reason(code: str, **facts: object) -> Reason:
    """The reason of this code, filled in with `facts` (KeyError for an unknown code)."""
    words = known_reasons()[code]
    return Reason(code, words["text"].format(**facts), words["remedy"].format(**facts))
