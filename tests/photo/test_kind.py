"""The content says what a file is; its name does not."""

import io

import numpy as np
import pytest
import tifffile
from PIL import Image

from tests.photo.pictures import busy, bytes_of, deep_tiff, dng
from tipvision.photo.fault import PhotoFault
from tipvision.photo.kind import kind_of
from tipvision.photo.photo import photo_from

KINDS = ("JPEG", "PNG", "HEIC", "TIFF", "WebP", "AVIF")
GREY = np.full((40, 40, 3), 0.3)


def files() -> dict[str, bytes]:
    small = busy(24, 16)
    big_tiff = deep_tiff(np.zeros((8, 8, 3), np.uint16), bigtiff=True)
    return {kind: bytes_of(small, kind) for kind in KINDS} | {"TIFF ": big_tiff, "DNG": dng(GREY)}


@pytest.mark.parametrize(("kind", "content"), files().items())
@pytest.mark.parametrize("name", ["p.jpg", "p.heic", "p.dng", "p", "p.txt"])
def test_a_photo_is_known_by_its_content_whatever_its_name(kind, content, name):
    assert kind_of(io.BytesIO(content), name) == kind.strip()


def test_a_phone_s_heic_named_jpg_is_read():
    picture = Image.new("RGB", (32, 32), (200, 120, 60))
    photo = photo_from("IMG_1.jpg", bytes_of(picture, "HEIC"))
    assert np.abs(photo.overview().astype(int) - (200, 120, 60)).max() <= 2


def thumbnail_first() -> bytes:
    """As raw files begin: a small copy, the sensor's pixels under it."""
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        small = np.zeros((16, 16, 3), np.uint8)
        writer.write(small, photometric="rgb", subfiletype=1, subifds=1)
        writer.write(np.zeros((32, 32), np.uint16), photometric="minisblack")
    return stream.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "fault"),
    [
        ("empty.jpg", b"", "empty"),
        ("letter.jpg", b"Dear workshop, please find enclosed", "not a picture, though it is named"),
        ("letter.txt", b"Dear workshop", "not a picture."),
        ("page.pdf", b"%PDF-1.7 whatever", "PDF"),
        ("clip.heic", b"\0\0\0\x18ftypmp42" + b"\0" * 60, "video"),
        ("moving.gif", b"GIF89a" + b"\0" * 60, "GIF"),
        ("raw.xyz", thumbnail_first(), "camera's own raw data"),
        ("head.tif", b"II*\0", "damaged"),
        ("head.tif", b"MM\0*\0\0\0\x08\xff\xff" + b"\xff" * 60, "damaged"),
    ],
)
def test_what_is_no_photo_is_named_with_its_remedy(name, content, fault):
    with pytest.raises(PhotoFault, match=fault) as caught:
        photo_from(name, content)
    assert caught.value.reason.code == "cannot_open"
    assert caught.value.reason.remedy.endswith(".")
    assert "\n" not in str(caught.value)
