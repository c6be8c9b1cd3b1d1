"""What a run enters into the store, photo by photo, and asks of it; within `committed`."""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from tipvision.batch.sources.found import Found
from tipvision.batch.store.grounds import differing
from tipvision.batch.store.store import Store, as_key, as_name, committed
from tipvision.batch.workers.outcome import Outcome

AT_ONCE = 64  # names that are fetched at a time
NEW, CHANGED = "new", "changed"
SECOND = 1 << 40  # is added to the turn of a photo that is tried once more, after all others


@dataclass(frozen=True)
class Waiting:
    """A photo whose turn is to come."""

    turn: int
    name: str
    location: str
    why: str


def begin_run(store: Store, parts: Mapping[str, str]) -> int:
    """Number a new run and note its grounds; what earlier runs left to do is theirs no more."""
    told = json.dumps(dict(parts), sort_keys=True)
    with committed(store):
        go = store.connection.execute
        go("INSERT OR IGNORE INTO grounds (parts) VALUES (?)", (told,))
        (grounds,) = go("SELECT id FROM grounds WHERE parts = ?", (told,)).fetchone()
        go("UPDATE photos SET turn = NULL WHERE turn IS NOT NULL")
        go("UPDATE runs SET run = run + 1, grounds = ?", (grounds,))
        (run,) = go("SELECT run FROM runs").fetchone()
    return int(run)


def why_to_read(store: Store, found: Found, parts: Mapping[str, str]) -> str | None:
    """Why a photo that was listed is to be read under these grounds; None where its reading stands.

    "new", "changed" (written since, by its stamp), or the first of `grounds.WORDS` that differs. A
    file that could not be read at all is tried as if it were new.
    """
    row = store.connection.execute(
        "SELECT p.stamp, p.digest, g.parts FROM photos p LEFT JOIN readings r USING (digest) "
        "LEFT JOIN grounds g ON g.id = r.grounds WHERE p.name = ?",
        (as_key(found.name),),
    ).fetchone()
    if row is None:
        return NEW
    stamp, digest, kept = row
    if digest is None or kept is None:
        return NEW
    if found.stamp is None or found.stamp != stamp:
        return CHANGED
    held = json.loads(kept)
    return None if held == dict(parts) else differing(held, parts)


def note(store: Store, found: Found, run: int, turn: int | None, why: str | None) -> None:
    """Enter a photo that was listed. turn: of reading it; None where its reading stands."""
    content_stands = why not in (NEW, CHANGED)
    store.connection.execute(
        "INSERT INTO photos (name, place, location, stamp, machine, cylinder, run, turn, why) "
        "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (name) DO UPDATE SET place = ?2, "
        "location = ?3, stamp = ?4, machine = ?5, cylinder = ?6, run = ?7, turn = ?8, why = ?9, "
        "digest = CASE WHEN ?10 THEN digest END, fault = NULL",
        (
            as_key(found.name),
            found.place,
            as_key(found.location),
            found.stamp,
            found.machine,
            found.cylinder,
            run,
            turn,
            why,
            content_stands,
        ),
    )


def was_listed(store: Store, name: str, run: int) -> bool:
    """Whether this run has come to the name before."""
    found = store.connection.execute(
        "SELECT 1 FROM photos WHERE name = ? AND run = ?", (as_key(name), run)
    )
    return found.fetchone() is not None


def next_waiting(store: Store, after: int) -> list[Waiting]:
    """The next photos to read, at most `AT_ONCE`, whose turn comes after that number and, where
    that is under `SECOND`, before `SECOND`."""
    end = SECOND if after < SECOND else 2 * SECOND
    rows = store.connection.execute(
        "SELECT turn, name, location, why FROM photos WHERE turn > ? AND turn < ? "
        "ORDER BY turn LIMIT ?",
        (after, end, AT_ONCE),
    )
    return [Waiting(turn, as_name(key), as_name(place), why) for turn, key, place, why in rows]


def put_off(store: Store, photo: Waiting) -> None:
    """Let a photo be tried once more, after all others."""
    store.connection.execute(
        "UPDATE photos SET turn = ? WHERE name = ?", (photo.turn + SECOND, as_key(photo.name))
    )


def has_reading(store: Store, digest: str) -> bool:
    """Whether a reading of that content stands under the grounds of the latest run."""
    found = store.connection.execute(
        "SELECT 1 FROM readings r JOIN runs ON r.grounds = runs.grounds WHERE digest = ?",
        (digest,),
    )
    return found.fetchone() is not None


def keep_reading(store: Store, digest: str, outcome: Outcome) -> None:
    """Keep what a photo of that content came to, in place of what was kept of it."""
    store.connection.execute(
        "INSERT OR REPLACE INTO readings SELECT ?, grounds, ?, ?, ?, ?, ?, ? FROM runs",
        (
            digest,
            outcome.state,
            json.dumps(outcome.answers),
            json.dumps(outcome.records, allow_nan=False),
            outcome.thumbnail,
            outcome.compared,
            outcome.seconds,
        ),
    )


def settle(store: Store, name: str, digest: str) -> None:
    """The content of a photo was looked at; it has a reading, or its copy is being read."""
    store.connection.execute(
        "UPDATE photos SET digest = ?, turn = NULL WHERE name = ?", (digest, as_key(name))
    )


def settle_fault(store: Store, name: str, digest: str, outcome: Outcome) -> None:
    """A photo, and each of that content, could not be read at all; the next run tries them again.

    digest: "" where its content could not be had.
    """
    store.connection.execute(
        "UPDATE photos SET fault = ?, turn = NULL, digest = NULL "
        "WHERE name = ? OR digest = nullif(?, '')",
        (json.dumps(outcome.records), as_key(name), digest),
    )


def end_listing(store: Store, run: int) -> int:
    """All was listed: what no longer is there counts no more. Returns how many photos are gone.

    Their readings are kept: they stand again when the photos come back.
    """
    with committed(store):
        (gone,) = store.connection.execute(
            "SELECT count(*) FROM photos, runs WHERE photos.run < ? AND photos.run >= shown", (run,)
        ).fetchone()
        store.connection.execute("UPDATE runs SET shown = ?", (run,))
    return int(gone)
