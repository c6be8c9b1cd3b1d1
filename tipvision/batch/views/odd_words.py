"""The odd plugs of engines, as a batch's summary has them, in sentences."""

from collections.abc import Mapping
from typing import Any

from tipvision.batch.views.sheet_contents import address
from tipvision.report.words import listed
from tipvision.report.wrap import printable

MOST_SHOWN = 200


def odd_words(summary: Mapping[str, Any], page: str | None) -> tuple[tuple[str, str], ...]:
    """(sentence, address of that machine's rows, or "") of each uneven set, at most `MOST_SHOWN`;
    page as in `counted`."""
    sets = summary.get("odd_plugs", ())
    shown = tuple((_sentence(one), _address(one, page)) for one in sets[:MOST_SHOWN])
    left = len(sets) - len(shown)
    return (*shown, (f"and {left:,} more, in summary.json", "")) if left > 0 else shown


def _sentence(one: Mapping[str, Any]) -> str:
    where = printable(one["machine"])
    if one["folder"] not in ("", one["machine"]):
        where += f" ({printable(one['folder'])})"
    if not one["odd"]:
        return f"{where}: its plugs differ, but not one against the rest."
    odd = [f"cylinder {plug['cylinder']} by {listed(plug['by'])}" for plug in one["odd"]]
    return f"{where}: {listed(odd)} {'stands' if len(odd) == 1 else 'stand'} apart."


def _address(one: Mapping[str, Any], page: str | None) -> str:
    return address(page, machine=f"={printable(one['machine'])}", sort="machine")
