"""A batch names the plugs with which the engine must not be started."""

from dataclasses import replace

from tests.batch.running import GROUNDS
from tests.report import samples
from tipvision.batch.sources.found import Found, PassedOver
from tipvision.batch.store.ledger import begin_run, end_listing, keep_reading, note, settle
from tipvision.batch.store.store import committed, opened
from tipvision.batch.telling import summary as telling
from tipvision.batch.telling.no_start import no_start
from tipvision.batch.telling.summary import summary_of
from tipvision.batch.telling.tally import Tally
from tipvision.batch.workers.outcome import Outcome
from tipvision.causes.explanation import Verdict
from tipvision.record.as_json import to_record

GRAVE = replace(
    samples.READ,
    explanation=replace(samples.EXPLANATION, verdict=Verdict("replace", "do_not_start")),
)
PHOTOS = {
    "a.jpg": [samples.READ],
    "do_not_start.jpg": [samples.READ],
    "none.jpg": [samples.NOT_A_PLUG],
    "two.jpg": [samples.READ, GRAVE],
    "worn.jpg": [GRAVE],
}
"""One is only called so."""


def test_they_are_named_in_order_and_counted(tmp_path, monkeypatch):
    monkeypatch.setattr(telling, "MOST_NAMED", 1)
    with opened(tmp_path) as store:
        run = begin_run(store, GROUNDS)
        with committed(store):
            for turn, (name, readings) in enumerate(PHOTOS.items(), 1):
                note(store, Found(name, 0, name, 1, "1", None, None), run, turn, "new")
                records = tuple(to_record(replace(one, photo=name)) for one in readings)
                keep_reading(store, name, Outcome(readings[0].outcome, (), records, None, None))
                settle(store, name, name)
        end_listing(store, run)
        assert list(no_start(store)) == ["two.jpg", "worn.jpg"]
        summary = summary_of(store, Tally(), PassedOver())
        assert summary["do_not_start"] == {"count": 2, "photos": ["two.jpg"]}
