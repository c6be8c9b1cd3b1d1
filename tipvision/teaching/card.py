"""The card of a shop's model: what it learnt from, what it is worth, and where it fails."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from tipvision.condition.condition import CONDITIONS
from tipvision.teaching.checks import TO_PROMOTE
from tipvision.teaching.held_out import HeldOut, Rate
from tipvision.teaching.plots import reliability_svg
from tipvision.teaching.shop_bands import ShopBand
from tipvision.teaching.worth import ANY, OVERALL, Comparison, told
from tipvision.templates import templates_of


@dataclass(frozen=True)
class Card:
    """start: the model that it began from. rival: the one in use that it was held against. light:
    how the light was told. plugs, photos: of each condition. left_out: photos by reason code.
    pull, moved: as in `Adapted`. own_calibration: or that of the start was kept.
    doubtful: how many labels are. rival_saw: how many of these photos the rival has learnt from."""

    name: str
    start: str
    made_with: str
    rival: str
    light: str
    plugs: Mapping[str, int]
    photos: Mapping[str, int]
    left_out: Mapping[str, int]
    pull: float
    moved: bool
    own_calibration: bool
    worth: HeldOut
    comparison: Comparison
    bands: tuple[ShopBand, ...]
    doubtful: int
    rival_saw: int


def card_as_html(card: Card) -> str:
    """One self-contained page without script."""
    return render("card.html", _facts(card) | {"plot": reliability_svg(card.worth.bins)})


def card_as_markdown(card: Card) -> str:
    """The same as text; the reliability plot is a table there."""
    return render("card.md", _facts(card))


def render(template: str, facts: Mapping[str, Any]) -> str:
    """A template of this folder filled in; what a fact holds stays text."""
    return str(_environment().get_template(template).render(facts))


def rate_in_words(rate: Rate) -> str:
    """The share with its interval and n."""
    if rate.n == 0:
        return "none to count"
    return (
        f"{100 * rate.share:.1f} % (95 % interval {100 * rate.low:.0f} to {100 * rate.high:.0f} %, "
        f"{rate.n} plugs)"
    )


def _facts(card: Card) -> dict[str, Any]:
    return {
        **{field.name: getattr(card, field.name) for field in fields(card)},
        "names": CONDITIONS,
        "confused": tuple(_confused(card.worth)),
        "overall_margin": f"{100 * OVERALL:.0f}",
        "any_margin": f"{100 * ANY:.0f}",
        "to_promote": TO_PROMOTE,
        "faults": card.comparison.faults,
    }


def _confused(worth: HeldOut) -> Iterator[str]:
    """What was taken for what, most often first."""
    pairs = [
        (count, truth, answer, sum(row))
        for truth, row in zip(CONDITIONS, worth.confusion, strict=True)
        for answer, count in zip(CONDITIONS, row, strict=True)
        if count and truth != answer
    ]
    for count, truth, answer, of in sorted(pairs, key=lambda pair: -pair[0]):
        yield f"{count} of {of} photos of {_plain(truth)} came out as {_plain(answer)}"


def _plain(name: str) -> str:
    return name.replace("_", " ")


@cache
def _environment() -> Any:
    return templates_of(
        "tipvision.teaching",
        plain=_plain,
        rate=rate_in_words,
        told=told,
        percent=lambda share: f"{100 * share:.0f} %",
    )
