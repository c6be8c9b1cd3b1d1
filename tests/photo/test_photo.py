"""Photos as phones write them, and files that only claim to be photos."""

import io
import itertools
import zlib

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, ImageOps
from PIL.TiffImagePlugin import IFDRational

from tipvision.photo.box import Box
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import OVERVIEW_PX, open_photo

WIDTH, HEIGHT = 96, 64


def lopsided(width: int = WIDTH, height: int = HEIGHT) -> Image.Image:
    """A picture that looks different in each of its eight orientations."""
    y, x = np.mgrid[:height, :width]
    pixels = np.stack([255 * x / width, 255 * y / height, 0 * x + 90], axis=-1).astype(np.uint8)
    pixels[: height // 4, : width // 4] = (250, 30, 30)
    return Image.fromarray(pixels)


def save(picture: Image.Image, path, **options) -> str:
    if path.suffix == ".heic":
        heif = pillow_heif.from_pillow(picture)
        heif.save(path, quality=-1, chroma=444, **options)
    else:
        picture.save(path, **options)
    return str(path)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", [".jpg", ".png"])
def test_a_photo_is_seen_upright_whatever_its_orientation(tmp_path, suffix, orientation):
    stored = lopsided()
    exif = Image.Exif()
    exif[0x0112] = orientation
    options = {"quality": 100, "subsampling": 0} if suffix == ".jpg" else {}
    path = save(stored, tmp_path / f"p{suffix}", exif=exif, **options)
    with Image.open(path) as stored_again:  # reference library: Pillow's own transposition
        expected = np.asarray(ImageOps.exif_transpose(stored_again).convert("RGB"))
    photo = open_photo(path)
    assert photo.size == (expected.shape[1], expected.shape[0])
    np.testing.assert_array_equal(photo.overview(), expected)
    for box in (Box(3, 5, 40, 21), Box(0, 0, *photo.size)):
        window = photo.window(box, longest=1000)
        np.testing.assert_array_equal(
            encoded(window.linear), expected[box.y0 : box.y1, box.x0 : box.x1]
        )
        shown = photo.shown(box, longest=1000)
        np.testing.assert_array_equal(shown, expected[box.y0 : box.y1, box.x0 : box.x1])


def encoded(linear: np.ndarray) -> np.ndarray:
    """Back to 8 bits by sRGB's curve (published: IEC 61966-2-1), written out here once more."""
    low, high = 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    return np.rint(255 * np.where(linear <= 0.0031308, low, high)).astype(np.uint8)


def test_a_phone_s_heic_is_seen_upright(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6
    path = save(lopsided(), tmp_path / "p.heic", exif=exif.tobytes())
    expected = np.asarray(lopsided().transpose(Image.Transpose.ROTATE_270))
    photo = open_photo(path)
    assert photo.size == (HEIGHT, WIDTH)
    assert np.abs(photo.overview().astype(int) - expected).max() <= 4


def wide_gamut_profile() -> bytes:
    """An RGB profile with other primaries than sRGB: sRGB's own with red and green changed over."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = int.from_bytes(profile[128:132])
    tags = {bytes(profile[132 + 12 * i : 136 + 12 * i]): 132 + 12 * i + 4 for i in range(count)}
    red, green = (slice(tags[t], tags[t] + 8) for t in (b"rXYZ", b"gXYZ"))
    profile[red], profile[green] = profile[green], profile[red]
    return bytes(profile).replace(b"s\0R\0G\0B", b"x\0Y\0Z\0x")


@pytest.mark.parametrize("suffix", [".jpg", ".png", ".heic"])
def test_an_embedded_profile_is_honoured(tmp_path, suffix):
    plain = Image.new("RGB", (32, 32), (200, 120, 60))
    path = save(plain, tmp_path / f"p{suffix}", icc_profile=wide_gamut_profile())
    photo = open_photo(path)
    for pixels in (photo.overview(), encoded(photo.window(Box(0, 0, 32, 32), 64).linear)):
        # with red's and green's primaries changed over, the picture's red is sRGB's green
        assert np.abs(pixels.reshape(-1, 3).mean(axis=0) - (120, 200, 60)).max() < 4


def test_a_damaged_profile_is_a_fault(tmp_path):
    path = save(lopsided(), tmp_path / "p.png", icc_profile=b"not a profile at all" * 20)
    with pytest.raises(PhotoFault, match="colour profile"):
        open_photo(path)


def test_windows_are_averaged_in_linear_light(tmp_path):
    stripes = np.zeros((64, 64, 3), np.uint8)
    stripes[:, ::2] = 255
    path = save(Image.fromarray(stripes), tmp_path / "p.png")
    window = open_photo(path).window(Box(0, 0, 64, 64), longest=16)
    np.testing.assert_allclose(window.linear, 0.5, atol=1e-6)  # encoded values would give 0.21
    assert window.clipped.all()


def test_what_is_shown_of_a_box_is_its_pixels_averaged_as_they_are_encoded(tmp_path):
    checks = np.zeros((40, 60, 3), np.uint8)
    checks[::2, ::2] = checks[1::2, 1::2] = 200
    photo = open_photo(save(Image.fromarray(checks), tmp_path / "p.png"))
    shown = photo.shown(Box(4, 4, 44, 34), longest=20)
    assert shown.shape == (15, 20, 3)
    assert shown.min() == shown.max() == 100
    assert photo.shown(Box(-20, 0, 7, 500), longest=50).shape == (40, 7, 3)  # within the photo
    with pytest.raises(ValueError, match="outside"):
        photo.shown(Box(100, 0, 120, 10), longest=10)


def test_a_large_photo_has_a_small_overview(tmp_path):
    path = save(lopsided(4032, 3024), tmp_path / "p.jpg", quality=90)
    photo = open_photo(path)
    assert photo.size == (4032, 3024)
    assert 0.8 * OVERVIEW_PX <= max(photo.overview().shape) <= OVERVIEW_PX


def test_see_through_parts_lie_on_white(tmp_path):
    picture = Image.new("RGBA", (20, 20), (0, 0, 0, 0))
    path = save(picture, tmp_path / "p.png")
    assert (open_photo(path).overview() == 255).all()


def bytes_of(picture: Image.Image, kind: str) -> bytes:
    stream = io.BytesIO()
    if kind == "HEIF":
        pillow_heif.from_pillow(picture).save(stream)
    else:
        picture.save(stream, kind)
    return stream.getvalue()


def photo_bytes() -> dict[str, bytes]:
    rng = np.random.default_rng(1)
    busy = Image.fromarray(rng.integers(0, 255, (120, 160, 3), dtype=np.uint8))
    return {k: bytes_of(busy, n) for k, n in (("jpg", "JPEG"), ("png", "PNG"), ("heic", "HEIF"))}


WHOLE = photo_bytes()
RUBBISH = {
    "empty.jpg": (b"", "empty"),
    "letter.jpg": (b"Dear workshop, please find enclosed", "not a picture"),
    "letter.txt": (b"Dear workshop", "not a picture"),
    "png.jpg": (WHOLE["png"], "named .jpg but holds a PNG"),
    "jpg.heic": (WHOLE["jpg"], "named .heic but holds a JPEG"),
    "page.pdf": (b"%PDF-1.7 whatever", "PDF"),
    "clip.heic": (b"\0\0\0\x18ftypmp42" + b"\0" * 60, "video"),
    "grey.png": (bytes_of(Image.new("L", (30, 30), 9), "PNG"), "shades of grey"),
    "print.jpg": (bytes_of(Image.new("CMYK", (30, 30)), "JPEG"), "CMYK"),
    "header.png": (WHOLE["png"][:40], "damaged"),
}


@pytest.mark.parametrize("name", RUBBISH)
def test_rubbish_is_named_with_its_fault_and_remedy(tmp_path, name):
    content, fault = RUBBISH[name]
    (tmp_path / name).write_bytes(content)
    with pytest.raises(PhotoFault) as caught:
        open_photo(str(tmp_path / name)).overview()
    reason = caught.value.reason
    assert reason.code == "cannot_open"
    assert fault in reason.text
    assert reason.remedy.endswith(".")


@pytest.mark.parametrize(
    ("kind", "share"), list(itertools.product(WHOLE, [0.02, 0.3, 0.6, 0.9, 0.97]))
)
def test_a_truncated_photo_is_refused_and_never_read_half_grey(tmp_path, kind, share):
    path = tmp_path / f"cut.{kind}"
    path.write_bytes(WHOLE[kind][: int(share * len(WHOLE[kind]))])
    with pytest.raises(PhotoFault):
        open_photo(str(path)).overview()


def test_a_missing_file_and_a_folder_are_faults(tmp_path):
    with pytest.raises(PhotoFault, match="no such file"):
        open_photo(str(tmp_path / "gone.jpg"))
    with pytest.raises(PhotoFault, match="folder"):
        open_photo(str(tmp_path))


def test_a_picture_of_too_many_pixels_is_refused_from_its_header(tmp_path):
    head = bytearray(WHOLE["png"])
    head[16:24] = (60_000).to_bytes(4) + (60_000).to_bytes(4)
    head[29:33] = zlib.crc32(bytes(head[12:29])).to_bytes(4)
    (tmp_path / "huge.png").write_bytes(bytes(head))
    with pytest.raises(PhotoFault, match="megapixels"):
        open_photo(str(tmp_path / "huge.png"))


def test_metadata_keeps_the_camera_s_settings_and_drops_place_and_serial_number(tmp_path):
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
    path = save(lopsided(), tmp_path / "p.jpg", exif=exif)
    metadata = open_photo(path).metadata
    assert (metadata.maker, metadata.model) == ("Larch Hollow", "Bench camera 1")
    assert metadata.exposure_s == pytest.approx(1 / 125)
    assert metadata.f_number == pytest.approx(1.8)
    assert (metadata.iso, metadata.white_balance, metadata.flash_fired) == (200, "manual", True)
    assert "4711" not in repr(metadata)
