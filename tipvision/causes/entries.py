"""Entries of a knowledge file, each field taken out with its check and its fault named."""

import tomllib
from collections.abc import Collection, Mapping

from tipvision.causes.fault import KnowledgeError, KnowledgeFile
from tipvision.one_line import one_line

SOURCES = ("common practice, no published source", "from memory, unchecked", "our estimate")
SOURCES_WITH_DETAIL = ("published: ", "reference library: ", "measured: ")
SOURCE_OF_NUMBERS = "source_of_numbers"  # at the top of a file whose entries hold numbers
SUM_TOLERANCE = 1e-6


def is_source(text: object) -> bool:
    """Whether this names where a fact comes from, in the words of the closed list."""
    if not isinstance(text, str):
        return False
    with_detail = any(
        text.startswith(start) and text[len(start) :].strip() for start in SOURCES_WITH_DETAIL
    )
    return text in SOURCES or with_detail


class Entry:
    """One table of a knowledge file; what is left when all is taken is a misspelt field."""

    def __init__(self, file: KnowledgeFile, number: int, fields: object) -> None:
        self._file = file
        self._name = f"entry {number}"
        if not isinstance(fields, dict):
            raise self.fault("is not a table")
        self._fields = dict(fields)
        self.id = self._name = self.text("id")

    def fault(self, words: str) -> KnowledgeError:
        return KnowledgeError(self._file, self._name, words)

    def text(self, key: str) -> str:
        value = self._fields.pop(key, None)
        if not isinstance(value, str) or not value.strip():
            raise self.fault(f"`{key}` is missing or empty")
        return value

    def choice(self, key: str, allowed: Collection[str]) -> str:
        value = self.text(key)
        if value not in allowed:
            raise self.fault(f"`{key}` is {value!r}, not one of {', '.join(allowed)}")
        return value

    def choice_or_none(self, key: str, allowed: Collection[str]) -> str | None:
        return self.choice(key, allowed) if key in self._fields else None

    def flag(self, key: str, default: bool) -> bool:
        value = self._fields.pop(key, default)
        if not isinstance(value, bool):
            raise self.fault(f"`{key}` is neither true nor false")
        return value

    def ids(self, key: str, known: Collection[str], kind: str) -> tuple[str, ...]:
        """A list of ids, each of which must be known; empty when the field is left out."""
        return self._ids(key, self._fields.pop(key, []), known, kind)

    def lists_of_ids(
        self, key: str, names: Collection[str], known: Collection[str], kind: str
    ) -> dict[str, tuple[str, ...]]:
        """By name, a list of known ids; empty when the field is left out."""
        lists = self._table(key, names, "result")
        return {name: self._ids(f"{key}.{name}", ids, known, kind) for name, ids in lists.items()}

    def some_of(
        self, key: str, known: Mapping[str, Collection[str]], kind: str
    ) -> dict[str, tuple[str, ...]]:
        """By the id of a fact, some of its results; empty when the field is left out."""
        lists = self._table(key, known, kind)
        return {
            name: self._ids(f"{key}.{name}", results, known[name], "result")
            for name, results in lists.items()
        }

    def choices(self, key: str, names: Collection[str], allowed: Collection[str]) -> dict[str, str]:
        """By name, one of the allowed words; empty when the field is left out."""
        words = self._table(key, names, "result")
        for name, word in words.items():
            if word not in allowed:
                fault = f"`{key}.{name}` is {word!r}, not one of {', '.join(allowed)}"
                raise self.fault(fault)
        return {name: str(word) for name, word in words.items()}

    def _ids(self, key: str, values: object, known: Collection[str], kind: str) -> tuple[str, ...]:
        if not isinstance(values, list):
            raise self.fault(f"`{key}` is not a list")
        for value in values:
            if value not in known:
                raise self.fault(f"`{key}` names the unknown {kind} {value!r}")
        if len(set(values)) < len(values):
            raise self.fault(f"`{key}` names something twice")
        return tuple(values)

    def _table(self, key: str, known: Collection[str] | None, kind: str) -> dict[str, object]:
        table = self._fields.pop(key, {})
        if not isinstance(table, dict):
            raise self.fault(f"`{key}` is not a table")
        for name in table:
            if known is not None and name not in known:
                raise self.fault(f"`{key}` names the unknown {kind} {name!r}")
        return table

    def share(self, key: str) -> float:
        return self._share(key, self._fields.pop(key, None))

    def shares(self, key: str, known: Collection[str], kind: str) -> dict[str, float]:
        """By name, a number above 0 and up to 1; empty when left out."""
        shares = {
            name: self._share(f"{key}.{name}", value)
            for name, value in self._table(key, known, kind).items()
        }
        for name, share in shares.items():
            if not share:
                raise self.fault(f"`{key}.{name}` is 0: leave it out")
        return shares

    def all_shares(self, key: str) -> dict[str, float]:
        """At least two names of its own choice with numbers above 0 that sum to 1."""
        table = self._table(key, None, "result")
        shares = self._shares_of(key, table)
        if len(shares) < 2 or min(shares.values()) <= 0:
            raise self.fault(f"`{key}` has not two results with a share above 0")
        if abs(sum(shares.values()) - 1.0) > SUM_TOLERANCE:
            raise self.fault(f"`{key}` sums to {sum(shares.values()):.4g}, not to 1")
        return shares

    def filled_shares(
        self, key: str, usual: Mapping[str, Mapping[str, float]], kind: str
    ) -> dict[str, dict[str, float]]:
        """By name, shares that sum to 1: those given, 0 to 1, and the rest spread as is usual."""
        filled = {}
        for name, given in self._table(key, usual, kind).items():
            where = f"{key}.{name}"
            if not isinstance(given, dict) or not given:
                raise self.fault(f"`{where}` is not a table of results")
            shares = self._shares_of(where, given)
            if unknown := sorted(shares.keys() - usual[name].keys()):
                raise self.fault(f"`{where}` names the unknown result {unknown[0]!r}")
            rest = 1.0 - sum(shares.values())
            others = {value: p for value, p in usual[name].items() if value not in shares}
            if rest < -SUM_TOLERANCE or (not others and rest > SUM_TOLERANCE):
                raise self.fault(f"`{where}` sums to {sum(shares.values()):.4g}, not to 1")
            scale = max(rest, 0.0) / sum(others.values()) if others else 0.0
            filled[name] = {v: shares.get(v, p * scale) for v, p in usual[name].items()}
        return filled

    def _shares_of(self, key: str, table: Mapping[str, object]) -> dict[str, float]:
        return {name: self._share(f"{key}.{name}", value) for name, value in table.items()}

    def _share(self, key: str, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(f"`{key}` is missing or not a number")
        if not 0 <= value <= 1:
            raise self.fault(f"`{key}` is {value}, not within 0 and 1")
        return float(value)

    def minutes(self) -> int:
        value = self._fields.pop("minutes", None)
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            raise self.fault("`minutes` is not a whole number of at least 1")
        return value

    def source(self) -> str:
        value = self._fields.pop("source", None)
        if not isinstance(value, str):
            raise self.fault("`source` is missing")
        if not is_source(value):
            raise self.fault(f"`source` is {value!r}, which is not in the closed list")
        return value

    def finish(self) -> None:
        if self._fields:
            raise self.fault(f"unknown field {', '.join(map(repr, self._fields))}")


def read_entries(
    file: KnowledgeFile, tables: Collection[str], with_numbers: Collection[str]
) -> dict[str, dict[str, Entry]]:
    """The entries of one file by table, `[[cause]]` and so on, then by id; no id twice in a table.

    tables:       those that may stand in the file; at least one must.
    with_numbers: those for which the file must say at its top where the numbers come from.
    Raises KnowledgeError for anything that is not as it should be.
    """
    try:
        data = tomllib.loads(file.path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise KnowledgeError(file, "the file", f"cannot be read ({error})") from error
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(file, "the file", f"is not valid TOML ({one_line(error)})") from error
    source = data.pop(SOURCE_OF_NUMBERS, None)
    if (source is not None or data.keys() & set(with_numbers)) and not is_source(source):
        fault = "is missing or not in the closed list of sources"
        raise KnowledgeError(file, SOURCE_OF_NUMBERS, fault)
    if not data or not data.keys() <= set(tables):
        wanted = ", ".join(f"[[{table}]]" for table in tables)
        raise KnowledgeError(file, "the file", f"must hold entries {wanted} and nothing else")
    return {table: _by_id(file, table, entries) for table, entries in data.items()}


def _by_id(file: KnowledgeFile, table: str, entries: object) -> dict[str, Entry]:
    if not isinstance(entries, list) or not entries:
        raise KnowledgeError(file, table, f"must stand as [[{table}]]")
    by_id: dict[str, Entry] = {}
    for number, fields in enumerate(entries, 1):
        entry = Entry(file, number, fields)
        if entry.id in by_id:
            raise entry.fault("this id stands twice")
        by_id[entry.id] = entry
    return by_id
