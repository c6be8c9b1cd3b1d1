"""Storage that makes its photos: all of them are listed once and come out the same every time."""

from pipelines.bench.made_storage import IN_A_FOLDER, register
from pipelines.bench.mutations import ending, mutated
from tipvision.batch.sources.found import PassedOver
from tipvision.batch.sources.listing import Asked, listed
from tipvision.batch.sources.storage import storage_of
from tipvision.batch.workers.content import content_of


def test_every_photo_is_listed_once_and_opens():
    register()
    count = IN_A_FOLDER + 7
    for kind in ("distinct", "mutated"):
        found = list(listed(Asked((f"made://{kind}/{count}",)), PassedOver()))
        assert len({one.name for one in found}) == len(found) == count
        storage, path = storage_of(found[3].location)
        assert content_of(path, storage) == content_of(path, storage)


def test_damage_is_told_by_the_number_alone():
    assert mutated(11) == mutated(11)
    assert len({mutated(number) for number in range(0, 70, 7)}) == 10
    assert {ending(number) for number in range(7)} == {"jpg", "png", "heic", "tif", "webp", "avif"}
