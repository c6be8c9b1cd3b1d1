"""What a batch keeps on disk: photos by name, readings by content, in one SQLite file.

A reading belongs to the bytes of a photo and to its grounds (what else decided it), so that copies,
renamed files and a second run cost nothing. One process writes; others may look on. What is
committed stands, whatever happens to the process after that.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tipvision.batch.store.out_folder import STORE_FILE, OutFault

APPLICATION = 0x54505642
FORMAT = 1
BUSY_MS = 10_000
_TABLES = """
CREATE TABLE grounds (id INTEGER PRIMARY KEY, parts TEXT NOT NULL UNIQUE);
CREATE TABLE readings (
    digest TEXT PRIMARY KEY,     -- SHA-256 of a photo's content, hex
    grounds INTEGER NOT NULL REFERENCES grounds,
    state TEXT NOT NULL,
    answers TEXT NOT NULL,       -- the condition of each plug that was read, JSON list
    records TEXT NOT NULL,       -- one a plug, JSON list
    thumbnail BLOB,
    compared BLOB,               -- see comparable.py
    seconds REAL NOT NULL
);
CREATE TABLE photos (
    name BLOB PRIMARY KEY,       -- as the file system has it: it need not be text
    place INTEGER NOT NULL,
    location BLOB NOT NULL,
    stamp TEXT,
    machine TEXT,
    cylinder INTEGER,
    digest TEXT,                 -- NULL until its content was looked at
    fault TEXT,                  -- JSON list of one record, of a file that could not be read at all
    run INTEGER NOT NULL,        -- the last one that listed it
    turn INTEGER,                -- of reading it in that run; NULL when there is nothing to do
    why TEXT                     -- it is read, see why_to_read
) WITHOUT ROWID;
CREATE INDEX by_place ON photos (place, name);
CREATE INDEX by_content ON photos (digest, place, name, run);
CREATE INDEX by_turn ON photos (turn) WHERE turn IS NOT NULL;
CREATE TABLE runs (
    run INTEGER NOT NULL,        -- the latest one
    shown INTEGER NOT NULL,      -- photos that no run from this one on has listed are gone
    grounds INTEGER NOT NULL     -- of the latest one
);
INSERT INTO runs VALUES (0, 0, 0);
"""


@dataclass(frozen=True)
class Store:
    """An open store. path: of its file. connection: in transactions that `committed` ends."""

    path: Path
    connection: sqlite3.Connection


@contextmanager
def opened(out: Path, to_write: bool = True) -> Iterator[Store]:
    """The store in a batch's folder, made where it is missing.

    Raises OutFault, with the remedy, for one that is damaged or of another format, and whatever
    SQLite says while it is open: a full disk, a folder that takes no files.
    """
    path = out / STORE_FILE
    try:
        if to_write:
            connection = sqlite3.connect(path, isolation_level=None)
        else:
            connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
        with closing(connection):
            connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
            if to_write:
                _made_ready(connection)
            _check_format(connection, path)
            yield Store(path, connection)
    except sqlite3.Error as error:
        raise _fault_of(path, error) from error


def _made_ready(connection: sqlite3.Connection) -> None:
    """Tables where there are none; write-ahead log, which a kill cannot tear."""
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = NORMAL")
    if connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
        tables = f"{_TABLES} PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {FORMAT};"
        connection.executescript(f"BEGIN IMMEDIATE; {tables} COMMIT;")


def _check_format(connection: sqlite3.Connection, path: Path) -> None:
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (format_,) = connection.execute("PRAGMA user_version").fetchone()
    if application != APPLICATION or format_ != FORMAT:
        raise OutFault(f"{path} is no batch of format {FORMAT}. Give another folder with --out.")


def _fault_of(path: Path, error: sqlite3.Error) -> OutFault:
    said = str(error)
    if "full" in said:
        return OutFault(f"{path}: the disk is full. Make room and run the same command again.")
    if "readonly" in said or "unable to open" in said:
        return OutFault(f"{path} cannot be written to. Give another folder with --out.")
    if "locked" in said:
        return OutFault(f"{path} is held by another program. Close it and run again.")
    if "disk I/O" in said:
        return OutFault(
            f"{path}: the disk does not take it ({said}). Check it, make room and run again."
        )
    return OutFault(
        f"{path} is damaged ({said}). Move it away; the next run reads the photos anew."
    )


@contextmanager
def committed(store: Store) -> Iterator[None]:
    """One transaction: all of it stands afterwards, or on an error nothing."""
    store.connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        store.connection.execute("COMMIT")
    except BaseException:
        if store.connection.in_transaction:
            store.connection.execute("ROLLBACK")
        raise


def as_key(name: str) -> bytes:
    """A name as it is kept; names that are not UTF-8 on disk come back as they were."""
    return name.encode("utf-8", "surrogatepass")


def as_name(key: bytes) -> str:
    """The name of which `as_key` made the key."""
    return key.decode("utf-8", "surrogatepass")
