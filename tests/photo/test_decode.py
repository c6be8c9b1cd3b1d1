"""Every format is decoded whole or not at all, at its full depth."""

import io
import itertools
import struct

import cv2
import numpy as np
import pillow_heif
import pytest
from PIL import Image

from tests.photo.pictures import (
    busy,
    bytes_of,
    deep_png,
    deep_tiff,
    dng,
    encoded,
    lopsided,
)
from tipvision.colour.srgb import decode
from tipvision.photo.box import Box
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import photo_from

RNG = np.random.default_rng(5)
DEEP = RNG.integers(0, 700, (70, 90, 3), dtype=np.uint16)  # three codes of 8 bits in all
NOISE = RNG.integers(0, 65536, (40, 50, 3), dtype=np.uint16)


def tiffs() -> dict[str, bytes]:
    def eight(**options: object) -> bytes:
        return bytes_of(busy(), "TIFF", **options)

    tiles = {274: 1}
    return {
        "plain TIFF": eight(),
        "TIFF with LZW": eight(compression="tiff_lzw"),
        "TIFF with deflate": eight(compression="tiff_adobe_deflate"),
        "TIFF with JPEG": eight(compression="jpeg", quality=100),
        "TIFF in strips": eight(tiffinfo=tiles | {278: 7}, compression="tiff_lzw"),
        "TIFF in tiles": deep_tiff(np.asarray(busy()), tile=(32, 48)),
        "TIFF in zipped tiles": deep_tiff(np.asarray(busy()), tile=(32, 48), compression="zlib"),
        "TIFF in planes": deep_tiff(
            np.ascontiguousarray(np.moveaxis(np.asarray(busy()), 2, 0)), planarconfig="separate"
        ),
    }


@pytest.mark.parametrize(("name", "content"), tiffs().items())
def test_a_tiff_is_read_however_it_is_kept(name, content):
    apart = np.abs(photo_from(name, content).overview().astype(int) - np.asarray(busy()))
    assert apart.mean() < 2 if "JPEG" in name else not apart.any()


def deep_files() -> dict[str, bytes]:
    made = {"png": deep_png(DEEP)}
    for order in "<>":
        made[f"tif{order}"] = deep_tiff(DEEP, byteorder=order)
        made[f"deflate{order}"] = deep_tiff(DEEP, byteorder=order, compression="zlib")
        made[f"tiles{order}"] = deep_tiff(DEEP, byteorder=order, tile=(32, 32))
        made[f"zipped tiles{order}"] = deep_tiff(
            DEEP, byteorder=order, tile=(32, 32), compression="zlib"
        )
    lzw = [cv2.IMWRITE_TIFF_COMPRESSION, 5]
    made["lzw"] = cv2.imencode(".tif", DEEP[..., ::-1], lzw)[1].tobytes()
    return made


@pytest.mark.parametrize(("name", "content"), deep_files().items())
def test_16_bits_are_not_cut_to_8_before_they_are_linear(name, content):
    photo = photo_from(name, content)
    window = photo.window(Box(11, 20, 81, 60), longest=1000)
    np.testing.assert_allclose(window.linear, decode(DEEP[20:60, 11:81] / 65535), atol=1e-7)
    np.testing.assert_array_equal(photo.overview(), np.rint(DEEP / 257.0))


def test_16_bits_that_stand_at_the_ceiling_are_clipped():
    codes = np.full((8, 8, 3), 65_278, np.uint16)
    codes[:, :4, 1:] = 65_277
    codes[:, :4, 0] = 65_277
    clipped = photo_from("p.png", deep_png(codes)).window(Box(0, 0, 8, 8), 8).clipped
    assert clipped[:, 4:].all() and not clipped[:, :4].any()


def test_see_through_parts_lie_on_white_at_any_depth():
    half = np.full((8, 10, 4), (0, 20_000, 65_535, 32_768), np.uint16)
    share = 32_768 / 65_535
    expected = decode(np.array([0, 20_000, 65_535]) / 65_535 * share + 1 - share)
    for content in (deep_png(half), deep_tiff(half)):
        linear = photo_from("p", content).window(Box(0, 0, 10, 8), 20).linear
        np.testing.assert_allclose(linear, np.broadcast_to(expected, linear.shape), atol=2e-5)
    clear = Image.new("RGBA", (20, 20), (0, 0, 0, 0))
    for kind in ("PNG", "TIFF", "WebP", "AVIF", "HEIC"):
        assert (photo_from("p", bytes_of(clear, kind)).overview() >= 254).all()
    palette = Image.new("P", (20, 20), 1)
    palette.putpalette([0, 0, 0, 200, 100, 50])
    assert (photo_from("p", bytes_of(palette, "PNG")).overview() == (200, 100, 50)).all()
    assert (photo_from("p", bytes_of(palette, "PNG", transparency=1)).overview() == 255).all()


def test_ten_bits_of_a_heic_are_kept():
    codes = np.full((64, 64, 3), (800, 3_000, 20_000), np.uint16)
    stream = io.BytesIO()
    pillow_heif.from_bytes("RGB;16", (64, 64), codes.tobytes()).save(stream, quality=-1, chroma=444)
    linear = photo_from("p.heic", stream.getvalue()).window(Box(9, 9, 50, 50), 50).linear
    apart = linear.mean(axis=(0, 1)) - decode(np.array([800, 3_000, 20_000]) / 65_535)
    assert np.abs(apart).max() < 5e-4


def test_of_several_pictures_in_a_file_the_first_is_read():
    first, second = lopsided(), Image.new("RGB", lopsided().size, "blue")
    for kind in ("TIFF", "PNG", "WebP", "AVIF"):
        content = bytes_of(first, kind, save_all=True, append_images=[second])
        apart = np.abs(photo_from("p", content).overview().astype(int) - np.asarray(first))
        assert apart.max() <= (4 if kind == "AVIF" else 0)


WHOLE = {
    **{kind: bytes_of(busy(), kind) for kind in ("JPEG", "PNG", "TIFF", "WebP", "AVIF", "HEIC")},
    "progressive": bytes_of(busy(), "JPEG", progressive=True),
    "lzw": bytes_of(busy(), "TIFF", compression="tiff_lzw"),
    "jpeg in TIFF": bytes_of(busy(), "TIFF", compression="jpeg"),
    "deep TIFF": deep_tiff(NOISE, compression="zlib"),
    "deep PNG": deep_png(NOISE),
    "DNG": dng(NOISE / 65_535),
}


@pytest.mark.parametrize(
    ("kind", "share"), list(itertools.product(WHOLE, [0.02, 0.3, 0.6, 0.9, 0.97]))
)
def test_a_truncated_photo_is_refused_and_never_read_half_grey(kind, share):
    content = WHOLE[kind]
    with pytest.raises(PhotoFault) as caught:
        photo_from("cut.jpg", content[: int(share * len(content))]).overview()
    assert "\n" not in str(caught.value)


def test_a_large_truncated_jpeg_is_refused_at_half_scale_too():
    content = bytes_of(lopsided(2000, 1500), "JPEG")
    with pytest.raises(PhotoFault, match="truncated"):
        photo_from("cut.jpg", content[: len(content) * 9 // 10]).overview()


def test_a_jpeg_whose_bits_turned_over_is_refused_and_stray_bytes_are_not():
    content = bytearray(bytes_of(busy(), "JPEG", quality=90))
    stray = bytes(content[:-2]) + b"\x37" * 5 + bytes(content[-2:])
    np.testing.assert_array_equal(
        photo_from("p.jpg", stray).overview(), photo_from("p.jpg", bytes(content)).overview()
    )
    middle = len(content) // 2
    content[middle : middle + 30] = b"\xff\xd5" * 15
    with pytest.raises(PhotoFault, match="damaged"):
        photo_from("p.jpg", bytes(content)).overview()


def test_a_jpeg_of_endless_passes_is_refused_before_the_first():
    content = WHOLE["progressive"]
    assert 1 < content.count(b"\xff\xda") < 20
    with pytest.raises(PhotoFault, match="more than 100 passes"):
        photo_from("p.jpg", content[:-2] + b"\xff\xda" * 100 + content[-2:]).overview()


@pytest.mark.parametrize("kind", WHOLE)
def test_no_byte_that_changes_gets_past_as_anything_but_a_fault(kind):
    rng = np.random.default_rng(7)
    for _ in range(12):
        content = bytearray(WHOLE[kind])
        for at in rng.integers(0, min(len(content), 600), 4):
            content[at] = rng.integers(256)
        try:
            photo = photo_from("p", bytes(content))
            photo.window(Box(0, 0, *photo.size), 64)
        except PhotoFault as fault:
            assert "\n" not in str(fault)


def test_a_page_whose_strips_end_after_the_file_is_refused_by_its_tags(capfd):
    content = bytearray(bytes_of(busy(), "TIFF", compression="tiff_lzw"))
    at = content.index(struct.pack("<HH", 279, 4)) + 8
    content[at : at + 4] = struct.pack("<I", 10**6)
    with pytest.raises(PhotoFault, match="truncated"):
        photo_from("p.tif", bytes(content))
    assert capfd.readouterr().err == ""  # the decoder would have written there


def test_half_scale_shows_what_the_whole_shows():
    content = bytes_of(lopsided(2000, 1500), "JPEG", quality=95, subsampling=2)
    photo = photo_from("p.jpg", content)
    box = Box(520, 400, 1720, 1400)
    half = photo.window(box, longest=300, part_px=400)
    full = photo_from("p.jpg", content).window(box, longest=10**6)
    assert (half.scale, full.scale) == (2, 1)
    blocks = full.linear.reshape(250, 4, 300, 4, 3).mean(axis=(1, 3))
    assert np.abs(encoded(half.linear).astype(int) - encoded(blocks)).max() <= 3
