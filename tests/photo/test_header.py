"""What is refused by its header, before a pixel is decoded."""

import io
import struct
import zlib

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageFile, TiffImagePlugin
from PIL.TiffImagePlugin import IFDRational

from tests.photo.pictures import busy, bytes_of, deep_tiff, dng, lopsided
from tipvision.photo import photo as photo_module
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import photo_from


def forged(kind: str) -> bytes:
    """A small file of that kind whose header claims 50,000 pixels each way, or what it can say."""
    content = bytearray(bytes_of(busy(), kind))
    if kind == "JPEG":
        at = content.index(b"\xff\xc0") + 5
        content[at : at + 4] = struct.pack(">HH", 50_000, 50_000)
    elif kind == "PNG":
        content[16:24] = struct.pack(">II", 50_000, 50_000)
        content[29:33] = zlib.crc32(bytes(content[12:29])).to_bytes(4)
    elif kind == "TIFF":
        return with_sides(deep_tiff(np.zeros((2, 2, 3), np.uint16)), 50_000)
    elif kind == "WebP":
        at = content.index(b"VP8L") + 9
        content[at : at + 4] = struct.pack("<I", 16_383 | 16_383 << 14)
    else:
        at = content.index(b"ispe") + 8
        content[at : at + 8] = struct.pack(">II", 50_000, 50_000)
    return bytes(content)


def with_sides(tiff: bytes, side: int) -> bytes:
    """That TIFF with another width and height in its first page (little-endian)."""
    content = bytearray(tiff)
    (page,) = struct.unpack_from("<I", content, 4)
    (count,) = struct.unpack_from("<H", content, page)
    for entry in range(page + 2, page + 2 + 12 * count, 12):
        if struct.unpack_from("<H", content, entry)[0] in (256, 257):
            struct.pack_into("<HII", content, entry + 2, 4, 1, side)
    return bytes(content)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WebP", "AVIF", "HEIC"])
def test_a_header_that_claims_too_much_is_refused_before_decoding(kind, monkeypatch):
    for home, call in ((photo_module, "decoded"), (ImageFile.ImageFile, "load")):
        monkeypatch.setattr(home, call, lambda *_, **__: pytest.fail("it was decoded"))
    with pytest.raises(PhotoFault, match=r"megapixels|damaged"):
        photo_from("p", forged(kind))


def test_a_raw_file_that_claims_too_much_is_refused():
    with pytest.raises(PhotoFault, match=r"megapixels|damaged"):
        photo_from("p.dng", with_sides(dng(np.full((40, 48, 3), 0.3)), 50_000))


@pytest.mark.parametrize("mode", ["L", "LA", "1", "I;16"])
def test_a_grey_photo_cannot_tell_a_colour(mode):
    with pytest.raises(PhotoFault, match="shades of grey only"):
        photo_from("p.png", bytes_of(Image.new(mode, (30, 30)), "PNG"))


@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_print_colours_without_their_profile_are_refused(kind):
    with pytest.raises(PhotoFault, match="CMYK"):
        photo_from("p", bytes_of(Image.new("CMYK", (30, 30)), kind))


def test_deep_colours_in_separate_planes_are_refused_where_pillow_would_misread_them():
    planes = np.zeros((3, 20, 30), np.uint16)
    content = deep_tiff(planes, planarconfig="separate")
    with pytest.raises(PhotoFault, match="separate planes"):
        photo_from("p.tif", content)


@pytest.mark.parametrize("dtype", [np.float32, np.uint32])
def test_a_tiff_of_numbers_that_are_no_photo_s_is_refused(dtype):
    with pytest.raises(PhotoFault, match="TIFF"):
        photo_from("p.tif", deep_tiff(np.zeros((20, 30, 3), dtype)))


def test_a_photo_for_hdr_screens_is_refused(monkeypatch):
    monkeypatch.setattr(pillow_heif.options, "SAVE_NCLX_PROFILE", True)
    heif = pillow_heif.from_pillow(lopsided())
    heif.info["nclx_profile"] = {
        "color_primaries": 9,
        "transfer_characteristics": 16,
        "matrix_coefficients": 9,
        "full_range_flag": 1,
    }
    stream = io.BytesIO()
    heif.save(stream)
    with pytest.raises(PhotoFault, match="HDR screens"):
        photo_from("p.heic", stream.getvalue())


def test_metadata_keeps_the_camera_s_settings_and_drops_place_and_serial_number():
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Larch Hollow", "Bench camera 1"
    camera = exif.get_ifd(0x8769)
    camera.update(
        {
            0x829A: IFDRational(1, 125),
            0x829D: IFDRational(18, 10),
            0x8827: 200,
            0xA403: 1,
            0x9209: 1,
        }
    )
    camera[0xA431] = "serial 4711"
    exif.get_ifd(0x8825).update({1: "N", 2: (1.0, 2.0, 3.0)})
    for kind in ("JPEG", "PNG", "HEIC", "WebP", "AVIF"):
        metadata = photo_from("p", bytes_of(lopsided(), kind, exif=exif.tobytes())).metadata
        assert (metadata.maker, metadata.model) == ("Larch Hollow", "Bench camera 1")
        assert metadata.exposure_s == pytest.approx(1 / 125)
        assert metadata.f_number == pytest.approx(1.8)
        assert (metadata.iso, metadata.white_balance, metadata.flash_fired) == (200, "manual", True)
        assert "4711" not in repr(metadata)


def test_a_tiff_says_its_camera_in_its_own_tags():
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[0x010F] = "Larch Hollow"
    assert photo_from("p", bytes_of(lopsided(), "TIFF", tiffinfo=tags)).metadata.maker == (
        "Larch Hollow"
    )
