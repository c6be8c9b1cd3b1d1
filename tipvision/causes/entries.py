"""Entries of a knowledge file, each field taken out with its check and its fault named."""

import tomllib
from collections.abc import Collection
from importlib.resources.abc import Traversable

SOURCES = ("common practice, no published source", "from memory, unchecked", "our estimate")
SOURCES_WITH_DETAIL = ("published: ", "reference library: ", "measured: ")


class KnowledgeError(ValueError):
    """A knowledge file is wrong; the message names the file, the entry and the fault."""

    def __init__(self, file: str, entry: str, fault: str) -> None:
        super().__init__(f"{file}, {entry}: {fault}. Correct the file or install tipvision again.")
        self.file = file
        self.entry = entry
        self.fault = fault


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

    def __init__(self, file: str, number: int, fields: object) -> None:
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

    def flag(self, key: str) -> bool:
        value = self._fields.pop(key, False)
        if not isinstance(value, bool):
            raise self.fault(f"`{key}` is neither true nor false")
        return value

    def ids(self, key: str, known: Collection[str], kind: str) -> tuple[str, ...]:
        """A list of ids, each of which must be known; empty when the field is left out."""
        values = self._fields.pop(key, [])
        if not isinstance(values, list):
            raise self.fault(f"`{key}` is not a list")
        for value in values:
            if value not in known:
                raise self.fault(f"`{key}` names the unknown {kind} {value!r}")
        if len(set(values)) < len(values):
            raise self.fault(f"`{key}` names something twice")
        return tuple(values)

    def shares(self, key: str, known: Collection[str]) -> dict[str, float]:
        """Conditions or findings with a number above 0 and up to 1; empty when left out."""
        values = self._fields.pop(key, {})
        if not isinstance(values, dict):
            raise self.fault(f"`{key}` is not a table")
        for name, value in values.items():
            if name not in known:
                raise self.fault(f"`{key}` names the unknown condition or finding {name!r}")
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise self.fault(f"`{key}` of {name} is not a number")
            if not 0 < value <= 1:
                raise self.fault(f"`{key}` of {name} is {value}, not above 0 and up to 1")
        return {name: float(value) for name, value in values.items()}

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
    folder: Traversable, file: str, table: str, source_of: str | None = None
) -> list[Entry]:
    """The entries `[[table]]` of one file, no id twice.

    source_of: a key at the top of the file that says where the numbers in it come from.
    Raises KnowledgeError for anything that is not as it should be.
    """
    try:
        data = tomllib.loads(folder.joinpath(file).read_text("utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise KnowledgeError(file, "the file", f"cannot be read ({error})") from error
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(file, "the file", f"is not valid TOML ({error})") from error
    if source_of is not None and not is_source(data.pop(source_of, None)):
        raise KnowledgeError(file, source_of, "is missing or not in the closed list of sources")
    tables = data.pop(table, None)
    if not isinstance(tables, list) or not tables or data:
        raise KnowledgeError(file, "the file", f"must hold [[{table}]] entries and nothing else")
    entries = [Entry(file, number, fields) for number, fields in enumerate(tables, 1)]
    seen: set[str] = set()
    for entry in entries:
        if entry.id in seen:
            raise entry.fault("this id stands twice")
        seen.add(entry.id)
    return entries
