"""The counts of a sheet in words, each with the address of the rows that it counts."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from tipvision.batch.telling.no_start import DO_NOT_START
from tipvision.batch.views.tally import GROUPS, NOT_READ, OTHER_MACHINES, Tally
from tipvision.condition.condition import LABELS
from tipvision.report.words import CONDITIONS, ENGINE_VERDICTS
from tipvision.report.wrap import printable

STATES = {
    "read": "Read",
    "unclear": "Cannot tell",
    "not_a_plug": "No spark plug found",
    "unreadable": "Could not be opened",
    "duplicate": "Same file as another",
    "skipped": "Not read yet",
}
GROUP_WORDS = {
    **{label: CONDITIONS[label][0] for label in LABELS},
    **{state: STATES[state] for state in NOT_READ},
}
ENGINE = {**ENGINE_VERDICTS, "check": "Check first"}
_GRAVEST_FIRST = ("not_under_load", "check", "run")
UNKNOWN = "machine not known"


@dataclass(frozen=True)
class Count:
    """One line of counts: what is counted, how often, of how many, and the address of its rows."""

    name: str
    count: int
    of: int
    address: str

    @property
    def share(self) -> float:
        """0 to 1; 0 of nothing."""
        return self.count / self.of if self.of else 0.0


@dataclass(frozen=True)
class Counted:
    """A tally in words.

    photos, rows:  how many.
    answers:       rows by state; they sum to `rows`.
    conditions:    those that were read, by label; they sum to the first of `answers`.
    stop:          rows whose verdict forbids the start.
    engine:        rows by every other verdict on the engine, the gravest first.
    reasons:       rows by reason, the most frequent first.
    groups:        what the columns of `machines` count.
    machines:      (name, counts by `groups`), by name.
    """

    photos: int
    rows: int
    answers: tuple[Count, ...]
    conditions: tuple[Count, ...]
    stop: Count
    engine: tuple[Count, ...]
    reasons: tuple[Count, ...]
    groups: tuple[str, ...]
    machines: tuple[tuple[Count, tuple[Count, ...]], ...]


def counted(tally: Tally, page: str | None = "") -> Counted:
    """The counts, with addresses on the page of that name; None where the rows of no one page are
    all that are counted, and "" on the page itself."""
    groups, rows = tally.groups, tally.rows
    verdicts = {
        name: Count(words, tally.engine[name], rows, address(page, engine=name))
        for name, words in ENGINE.items()
    }
    present = tuple(group for group in GROUPS if groups[group])
    return Counted(
        photos=tally.photos,
        rows=rows,
        answers=(
            Count(STATES["read"], tally.read, rows, address(page, state="read")),
            *(_group(group, groups, rows, page) for group in NOT_READ if groups[group]),
        ),
        conditions=tuple(
            _group(label, groups, tally.read, page) for label in LABELS if groups[label]
        ),
        stop=verdicts[DO_NOT_START],
        engine=tuple(v for name in _GRAVEST_FIRST if (v := verdicts[name]).count),
        reasons=tuple(
            Count(reason_words(code), count, rows, address(page, reason=code))
            for code, count in tally.reasons.most_common()
        ),
        groups=tuple(GROUP_WORDS[group] for group in present),
        machines=tuple(
            (
                _machine(name, "", sum(own.values()), page),
                tuple(_machine(name, group, own[group], page) for group in present),
            )
            for name, own in sorted(tally.machines.items(), key=lambda pair: _in_order(pair[0]))
        ),
    )


def page_counts(
    whole: Tally, groups: Counter[str], stop: int, page: str
) -> tuple[Count, tuple[Count, ...]]:
    """What a page holds, with addresses there: the rows whose verdict forbids the start, and the
    rows by each group that the whole has."""
    rows = groups.total()
    present = (group for group in GROUPS if whole.groups[group])
    return (
        Count("", stop, rows, address(page, engine=DO_NOT_START)),
        tuple(_group(group, groups, rows, page) for group in present),
    )


def address(page: str | None, **asked: str) -> str:
    """The address of the rows that are asked for, as `sheet.js` reads it; "" where there is none"""
    return "" if page is None else f"{page}#{urlencode(asked)}"


def reason_words(code: str) -> str:
    """A reason code as words stand in a table."""
    return code.replace("_", " ").capitalize()


def _asked(group: str) -> dict[str, str]:
    if group in LABELS:
        return {"state": "read", "condition": group}
    return {"state": group} if group else {}


def _group(group: str, groups: Counter[str], of: int, page: str | None) -> Count:
    return Count(GROUP_WORDS[group], groups[group], of, address(page, **_asked(group)))


def _machine(name: str | None, group: str, count: int, page: str | None) -> Count:
    shown = printable(name or "")
    listed = None if name == OTHER_MACHINES else page
    return Count(
        shown or UNKNOWN, count, count, address(listed, machine=f"={shown}", **_asked(group))
    )


def _in_order(name: str | None) -> tuple[bool, Iterable[tuple[int, str]]]:
    """Names as a person sorts them, TB-9 before TB-10; what is not known comes last."""
    parts = re.findall(r"(\d+)|(\D+)", name or "")
    return name is None, [(int(digits or 0), letters.casefold()) for digits, letters in parts]
