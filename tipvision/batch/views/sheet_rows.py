"""What the sheet's script is given of each row: numbers, and words that are told only once."""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipvision.batch.store.entry import Entry
from tipvision.batch.views.rows import Row
from tipvision.batch.views.sheet_contents import ENGINE, STATES
from tipvision.batch.views.tally import GROUPS, NOT_READ, group_of
from tipvision.condition.condition import LABELS, Condition
from tipvision.record.reading import Reading
from tipvision.record.reason import Reason
from tipvision.report.answer import answer, findings, plug_words
from tipvision.report.axis import hex_colour
from tipvision.report.words import PLUG_VERDICTS, colour_words, light_words, percent
from tipvision.report.wrap import printable


class SheetRows:
    """The rows of one page, gathered for its script (`sheet.js` says what stands where)."""

    def __init__(self) -> None:
        self.rows: list[list[Any]] = []
        self._words: dict[str, int] = {"": 0}
        self._places: dict[str, int] = {}  # of texts as they came

    def add(
        self, entry: Entry, row: Row, record: Mapping[str, Any] | None, picture: int
    ) -> tuple[str, str]:
        """Take up a row; its answer, and how sure that is, in words.

        record: of which the row was made. picture: number of its thumbnail in the page, -1 without
        one.
        """
        told = None if record is None else reading_of(record)
        said = None if told is None else answer(told)
        sure = row.probability if row.state == "read" else None
        headline = said.headline if said else STATES[entry.state]
        sure_words = "" if sure is None else f"{percent(sure)} sure"
        colour = _colour(row)
        self.rows.append(
            [
                printable(row.file),
                picture,
                GROUPS.index(group_of(row)),
                sum(1 << LABELS.index(label) for label in (row.possible or "").split()),
                -1 if sure is None else round(100 * sure, 2),
                self._word(headline),
                self._word(sure_words),
                self._word(_findings_beside(told)),
                [self._word(words) for r in reasons_of(record) for words in r],
                self._word(row.machine or ""),
                row.cylinder or 0,
                self._word((plug_words(told) if told else None) or ""),
                -1 if colour is None else int(hex_colour(colour)[1:], 16),
                -1 if row.lab_l is None else round(row.lab_l),
                self._word("" if colour is None else colour_words(colour)),
                -1 if row.engine_verdict is None else tuple(ENGINE).index(row.engine_verdict),
                self._word(PLUG_VERDICTS.get(row.plug_verdict or "", "")),
                self._word(_first_cause(record)),
                self._word("" if row.light is None else light_words(row.light, row.cct_k)),
                printable(row.same_as or ""),
            ]
        )
        return headline, sure_words

    def script(self) -> bytes:
        """A script file that hands the rows over; ASCII, and without a `<` that could end it."""
        codes = {
            "labels": LABELS,
            "states": ("read", *NOT_READ),
            "engine": (tuple(ENGINE), tuple(ENGINE.values())),
        }
        return script("sheetRows", {**codes, "words": list(self._words), "rows": self.rows})

    def _word(self, text: str) -> int:
        if (place := self._places.get(text)) is None:
            place = self._words.setdefault(printable(text), len(self._words))
            self._places[text] = place
        return place


def script(function: str, *values: Any) -> bytes:
    """A script file that calls a function with values."""
    told = ",".join(json.dumps(v, allow_nan=False, separators=(",", ":")) for v in values)
    return f"{function}({told.replace('<', chr(92) + 'u003c')});\n".encode("ascii")


def reading_of(record: Mapping[str, Any]) -> Reading:
    """As much of a reading as its answer is made of."""
    judged = record["probabilities"] is not None
    condition = Condition(
        record["condition"],
        record["probabilities"] or {},
        tuple(record["possible"] or ()),
        record["coverage"] or 0.0,
        record["findings"] or {},
    )
    plug = record["plug"]
    return Reading(
        photo=record["photo"],
        outcome=record["outcome"],
        reasons=tuple(Reason(*words) for words in reasons_of(record)),
        condition=condition if judged else None,
        plug=None if plug is None else (plug["n"], plug["of"]),
    )


def reasons_of(record: Mapping[str, Any] | None) -> list[tuple[str, str, str]]:
    """(code, text, remedy) of each reason in a record."""
    reasons = () if record is None else record["reasons"]
    return [(reason["code"], reason["text"], reason["remedy"]) for reason in reasons]


def _findings_beside(told: Reading | None) -> str:
    """The findings that stand beside a condition; alone they are the answer already."""
    if told is None or told.condition is None or told.condition.label is None:
        return ""
    return ", ".join(name for name, _ in findings(told))


def _colour(row: Row) -> NDArray[np.float64] | None:
    if row.lab_l is None:
        return None
    return np.array([row.lab_l, row.lab_a, row.lab_b], dtype=np.float64)


def _first_cause(record: Mapping[str, Any] | None) -> str:
    causes = (record or {}).get("causes") or ()
    return str(causes[0]["text"]) if causes else ""
