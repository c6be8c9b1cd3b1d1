"""One picture, stored in eight orientations and every format that carries one, is seen upright."""

import io

import numpy as np
import pytest
from PIL import Image, ImageOps

from tests.photo.pictures import bytes_of, dng, encoded, lopsided, turned
from tipvision.photo.box import Box
from tipvision.photo.photo import photo_from

STORED = {  # how to turn the upright picture, so that the orientation turns it back
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
# Largest difference in 8-bit codes from the upright original: none where the format has a lossless
# way; for the others what their coders cost at their best quality, whatever the orientation.
LOSS = {"JPEG": 4, "PNG": 0, "TIFF": 0, "WebP": 0, "AVIF": 4, "HEIC": 2}
UPRIGHT = lopsided()


@pytest.mark.parametrize("orientation", STORED)
@pytest.mark.parametrize("kind", LOSS)
def test_a_photo_is_seen_upright_whatever_its_orientation(kind, orientation):
    way = STORED[orientation]
    stored = UPRIGHT if way is None else UPRIGHT.transpose(way)
    photo = photo_from("photo", bytes_of(stored, kind, exif=turned(orientation)))
    expected = np.asarray(UPRIGHT).astype(int)
    assert photo.size == UPRIGHT.size
    assert np.abs(photo.overview() - expected).max() <= LOSS[kind]
    for box in (Box(3, 5, 40, 21), Box(0, 0, *photo.size)):
        part = expected[box.y0 : box.y1, box.x0 : box.x1]
        linear = photo.window(box, longest=1000).linear
        assert np.abs(encoded(linear) - part).max() <= LOSS[kind]
        assert np.abs(photo.shown(box, longest=1000) - part).max() <= LOSS[kind]


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_raw_photo_is_seen_upright(orientation):
    upright = np.full((60, 80, 3), (0.5, 0.3, 0.1))
    upright[:20, :30] = (0.9, 0.05, 0.05)
    stored = np.rot90(upright, {1: 0, 3: 2, 6: 1, 8: 3}[orientation])
    photo = photo_from("photo", dng(stored, orientation))
    assert photo.size == (80, 60)
    linear = photo.window(Box(0, 0, 80, 60), longest=1000).linear
    np.testing.assert_allclose(linear[3:15, 3:25], upright[3:15, 3:25], atol=0.001)
    np.testing.assert_allclose(linear[25:-3, 35:-3], upright[25:-3, 35:-3], atol=0.001)


@pytest.mark.parametrize("orientation", STORED)
def test_half_scale_is_turned_as_pillow_turns_the_whole(orientation):
    options = {"quality": 100, "exif": turned(orientation)}
    content = bytes_of(lopsided(2000, 1200), "JPEG", **options)
    with Image.open(io.BytesIO(content)) as stored:  # reference library: Pillow's transposition
        expected = np.asarray(ImageOps.exif_transpose(stored))
    photo = photo_from("p.jpg", content)
    box = Box(200, 310, 900, 1010)
    window = photo.window(box, longest=400, part_px=500)
    assert window.scale == 2 and photo.decodes == (2,)
    inside = expected[box.y0 : box.y1, box.x0 : box.x1].reshape(350, 2, 350, 2, 3)
    assert np.abs(encoded(window.linear) - inside.mean(axis=(1, 3))).max() <= 2
