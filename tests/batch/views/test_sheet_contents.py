from urllib.parse import parse_qs

from tests.batch.views.made import batch, entry
from tests.report import samples
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.sheet_contents import GROUP_WORDS, Counted, counted, page_counts
from tipvision.batch.views.tally import GROUPS, Tally


def tallied(entries) -> Tally:
    tally = Tally()
    for one in entries:
        tally.add(rows_of(one))
    return tally


def test_what_is_shown_adds_up() -> None:
    tally = tallied(batch(150))
    told = counted(tally)
    assert sum(one.count for one in told.answers) == told.rows == tally.rows
    assert sum(one.count for one in told.conditions) == told.answers[0].count == tally.read
    assert sum(one.count for one in (told.stop, *told.engine)) == tally.engine.total()
    assert sum(whole.count for whole, _ in told.machines) == told.rows
    for whole, groups in told.machines:
        assert sum(one.count for one in groups) == whole.count
        assert len(groups) == len(told.groups)
    assert abs(sum(one.share for one in told.answers) - 1.0) < 1e-9


def test_an_address_asks_for_the_rows_that_were_counted() -> None:
    told = counted(tallied(batch(150)), "page-2.html")
    asked = {one.name: one.address.partition("#") for one in (*told.answers, *told.conditions)}
    assert {page for page, _, _ in asked.values()} == {"page-2.html"}
    assert parse_qs(asked["Dry black"][2]) == {"state": ["read"], "condition": ["dry_black"]}
    assert parse_qs(asked["Cannot tell"][2]) == {"state": ["unclear"]}
    assert parse_qs(told.stop.address.partition("#")[2]) == {"engine": ["do_not_start"]}
    names = [parse_qs(whole.address.partition("#")[2])["machine"][0] for whole, _ in told.machines]
    assert {"==1+1", "=<b>", "=TB-07", "="} == set(names) - {"=QD-03", "=SX-01"}
    tb_07 = next(groups for whole, groups in told.machines if whole.name == "TB-07")
    assert parse_qs(tb_07[told.groups.index("Cannot tell")].address.partition("#")[2]) == {
        "machine": ["=TB-07"],
        "state": ["unclear"],
    }


def test_a_whole_over_several_pages_has_no_addresses() -> None:
    told = counted(tallied(batch(60)), None)
    assert not any(_addresses(told))


def _addresses(told: Counted) -> list[str]:
    lists = (told.answers, told.conditions, told.engine, told.reasons, (told.stop,))
    machines = [one for whole, groups in told.machines for one in (whole, *groups)]
    return [one.address for counts in (*lists, machines) for one in counts]


def test_the_pages_add_up_to_the_whole() -> None:
    entries = list(batch(120))
    whole, parts = tallied(entries), [tallied(entries[:50]), tallied(entries[50:])]
    counts = [page_counts(whole, p.groups, p.engine["do_not_start"], "p.html") for p in parts]
    assert sum(stop.count for stop, _ in counts) == whole.engine["do_not_start"]
    for group, *columns in zip(
        [g for g in GROUPS if whole.groups[g]], *[groups for _, groups in counts], strict=True
    ):
        assert {one.name for one in columns} == {GROUP_WORDS[group]}
        assert sum(one.count for one in columns) == whole.groups[group]


def test_machines_stand_as_a_person_sorts_them() -> None:
    names = ("TB-10", "TB-9", None, "qd-2", "7", "TB-")
    told = counted(tallied(entry("a.jpg", samples.READ, machine=name) for name in names))
    assert [whole.name for whole, _ in told.machines] == [
        *("qd-2", "TB-", "TB-9", "TB-10", "7", "machine not known")
    ]
