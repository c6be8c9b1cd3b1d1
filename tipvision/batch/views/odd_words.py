"""The odd plugs of engines, as a batch's summary has them, in sentences."""

from collections.abc import Mapping
from typing import Any

from tipvision.batch.telling.odd_plugs import odd_sentence
from tipvision.batch.views.sheet_contents import address
from tipvision.report.wrap import printable

MOST_SHOWN = 200


def odd_words(summary: Mapping[str, Any], page: str | None) -> tuple[tuple[str, str], ...]:
    """(sentence, address of that machine's rows, or "") of each uneven set, at most `MOST_SHOWN`;
    page as in `counted`."""
    sets = summary.get("odd_plugs", ())
    shown = tuple((odd_sentence(one), _address(one, page)) for one in sets[:MOST_SHOWN])
    left = len(sets) - len(shown)
    return (*shown, (f"and {left:,} more, in summary.json", "")) if left > 0 else shown


def _address(one: Mapping[str, Any], page: str | None) -> str:
    return address(page, machine=f"={printable(one['machine'])}", sort="machine")
