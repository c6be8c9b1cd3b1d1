"""Photos of plugs with which the engine must not be started or cranked."""

import json
from collections.abc import Iterator

from tipvision.batch.store.store import Store, as_name

DO_NOT_START = "do_not_start"
"""Of the record's `verdict.engine`."""


def no_start(store: Store) -> Iterator[str]:
    """Their names, in the order of listing; of copies each."""
    rows = store.connection.execute(
        "SELECT p.name, r.records FROM photos p CROSS JOIN runs "
        "JOIN readings r ON r.digest = p.digest AND r.grounds = runs.grounds "
        "WHERE p.fault IS NULL AND p.run >= runs.shown AND instr(r.records, ?) "
        "ORDER BY p.place, p.name",
        (DO_NOT_START,),
    )
    for key, records in rows:  # few: the database has looked for the word already
        verdicts = (record["verdict"] for record in json.loads(records))
        if any(one is not None and one["engine"] == DO_NOT_START for one in verdicts):
            yield as_name(key)
