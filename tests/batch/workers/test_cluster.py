"""Reading by a Dask cluster on this machine, and what its faults cost."""

from functools import partial
from pathlib import Path

import pytest

from tests.batch.running import run
from tests.batch.stand_in import prepared
from tipvision.batch.workers.cluster import Cluster
from tipvision.batch.workers.hands import CrewFault
from tipvision.batch.workers.worker import Task

distributed = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def address():
    """A scheduler with two worker processes of one thread."""
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=":0", host="127.0.0.1"
        ) as cluster,
    ):
        yield cluster.scheduler_address


def test_a_cluster_reads_like_this_machine(made, address):
    contents = {f"{k:02}.jpg": f"read {k // 2}" for k in range(20)} | {"gone.txt": ""}
    asked = made(contents)
    hands = Cluster(address, partial(prepared, None), 60.0)
    by_cluster = run(asked, hands=hands)
    assert by_cluster.tally.complete
    assert len(hands._in_hand) == 0
    alone = made({})
    assert run(alone).tally.read == 0  # what the cluster read stands
    assert by_cluster.entries == run(alone).entries


def test_a_lost_worker_costs_what_it_had(made, address, tmp_path):
    contents = {f"{k}.jpg": str(k) for k in range(6)} | {"z.jpg": f"die-once {tmp_path}/mark"}
    ran = run(made(contents), hands=Cluster(address, partial(prepared, None), 60.0))
    assert {entry.state for entry in ran.entries} == {"unclear"}
    assert Path(tmp_path, "mark").exists()


def test_a_scheduler_that_is_not_there_is_one_line(monkeypatch):
    monkeypatch.setattr("tipvision.batch.workers.cluster.CONNECT_S", 0.3)
    with pytest.raises(CrewFault, match="cannot be reached") as fault:
        Cluster("tcp://127.0.0.1:9", partial(prepared, None), 60.0)
    assert "\n" not in str(fault.value)


def test_a_scheduler_without_workers_is_one_line(monkeypatch):
    monkeypatch.setattr("tipvision.batch.workers.cluster.CONNECT_S", 1.0)
    with (
        distributed.LocalCluster(n_workers=0, dashboard_address=":0", host="127.0.0.1") as cluster,
        pytest.raises(CrewFault, match="has no workers"),
    ):
        Cluster(cluster.scheduler_address, partial(prepared, None), 60.0)


def test_no_photo_is_blamed_while_all_workers_are_gone(address, monkeypatch):
    with Cluster(address, partial(prepared, None), 0.0) as hands:
        monkeypatch.setattr(hands._client, "nthreads", dict)
        assert hands.has_room
        hands.give(Task("a.jpg", "", content=b"slow 0.5"))
        assert list(hands.happened(0.01)) == []
        monkeypatch.setattr(hands, "_threads", 1)
        ((_, lost),) = hands.happened(0.01)
        assert "took longer" in lost.how


def test_a_cluster_that_cannot_read_ends_the_run(address):
    hands = Cluster(address, partial(int, "no number"), 60.0)
    with hands, pytest.raises(CrewFault, match="cannot read"):
        hands.give(Task("a.jpg", __file__))
        while True:
            list(hands.happened(1.0))
