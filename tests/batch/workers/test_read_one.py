"""One photo from its bytes: the records of `read`, a thumbnail, and no error whatever it holds."""

import io

import numpy as np
import pytest
from PIL import Image

from tipvision.batch.workers.read_one import THUMBNAIL_PX, read_one, thumbnail_of
from tipvision.condition.model import default_model
from tipvision.reading import EVERY_PLUG, Ask, read
from tipvision.record.as_json import to_record
from tipvision.shipped import demo_folder

ASK = Ask(plug=EVERY_PLUG)
PHOTO = demo_folder() / "tb-07-a.jpg"


def test_a_photo_has_the_records_of_read_and_a_thumbnail():
    outcome = read_one(str(PHOTO), PHOTO.read_bytes(), ASK, default_model())
    assert list(outcome.records) == [to_record(one) for one in read(str(PHOTO), ASK)]
    assert outcome.state == outcome.records[0]["outcome"]
    assert outcome.answers == (
        (outcome.records[0]["condition"],) if outcome.state == "read" else ()
    )
    with Image.open(io.BytesIO(outcome.thumbnail)) as thumbnail:
        assert max(thumbnail.size) == THUMBNAIL_PX
        assert not thumbnail.getexif() and "icc_profile" not in thumbnail.info
    assert 0 < outcome.seconds < 60


@pytest.mark.parametrize("size", [(1000, 700), (50, 40), (1, 900), (900, 1)])
def test_a_thumbnail_keeps_shape_and_colour(size):
    width, height = size
    overview = np.zeros((height, width, 3), np.uint8)
    overview[:] = (200, 120, 40)
    with Image.open(io.BytesIO(thumbnail_of(overview))) as thumbnail:
        assert max(thumbnail.size) == min(THUMBNAIL_PX, max(size))
        middle = np.asarray(thumbnail)[thumbnail.height // 2, thumbnail.width // 2]
    np.testing.assert_allclose(middle, (200, 120, 40), atol=6)


def test_a_damaged_photo_is_unreadable():
    outcome = read_one("a.jpg", PHOTO.read_bytes()[:5000], ASK, default_model())
    assert (outcome.state, outcome.thumbnail, outcome.compared) == ("unreadable", None, None)
