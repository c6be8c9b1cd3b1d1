"""16 bits go through a profile's own curves and matrix, as the 8-bit library does with 8 bits."""

import struct

import numpy as np
import pytest
from PIL import Image, ImageCms

from pipelines.bench.print_profile import print_profile
from tests.photo.pictures import (
    bytes_of,
    deep_tiff,
    encoded,
    lopsided,
    wide_gamut_profile,
)
from tipvision.colour.srgb import decode
from tipvision.photo.box import Box
from tipvision.photo.matrix_profile import matrix_profile
from tipvision.photo.photo import photo_from

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
CODES = np.arange(65536, dtype=np.uint16).reshape(256, 256, 1).repeat(3, axis=2)


def with_curve(curve: bytes) -> bytes:
    """sRGB's profile with another curve for all three channels."""
    profile = bytearray(SRGB)
    start = len(profile)
    for k in range(int.from_bytes(profile[128:132])):
        at = 132 + 12 * k
        if profile[at : at + 4] in (b"rTRC", b"gTRC", b"bTRC"):
            profile[at + 4 : at + 12] = struct.pack(">II", start, len(curve))
    profile[:4] = struct.pack(">I", start + len(curve))
    return bytes(profile.replace(b"s\0R\0G\0B", b"x\0Y\0Z\0x")) + curve


def parametric(function: int, *numbers: float) -> bytes:
    fixed = [round(n * 65536) for n in numbers]
    return b"para" + bytes(4) + struct.pack(f">HH{len(fixed)}i", function, 0, *fixed)


def test_srgb_s_own_profile_gives_srgb_s_own_light():
    linear = matrix_profile(SRGB).linear(CODES)
    np.testing.assert_allclose(linear, decode(CODES / 65535), atol=2e-4)


CURVES = {
    "straight": (b"curv" + bytes(8), lambda x: x),
    "power": (b"curv" + bytes(4) + struct.pack(">IH", 1, 461), lambda x: x ** (461 / 256)),
    "table": (b"curv" + bytes(4) + struct.pack(">I3H", 3, 0, 16384, 65535), None),
    "0": (parametric(0, 2.2), lambda x: x**2.2),
    "1": (parametric(1, 2.0, 0.9, 0.1), lambda x: (0.9 * x + 0.1) ** 2),
    "2": (parametric(2, 2.0, 0.9, 0.02, 0.1), lambda x: (0.9 * x + 0.02) ** 2 + 0.1),
    "4": (
        parametric(4, 2.0, 0.9, 0.05, 0.5, 0.2, 0.05, 0.01),
        lambda x: np.where(x >= 0.2, (0.9 * x + 0.05) ** 2 + 0.05, 0.5 * x + 0.01),
    ),
}


@pytest.mark.parametrize("name", CURVES)
def test_curves_are_those_of_the_standard_and_of_the_8_bit_library(name):
    """published: ISO 15076-1 (by its formulas); reference library: LittleCMS through Pillow."""
    curve, formula = CURVES[name]
    profile = with_curve(curve)
    linear = matrix_profile(profile).linear(CODES)[..., 1]
    if formula is not None:
        expected = np.clip(formula(CODES[..., 1] / 65535), 0, 1)
        np.testing.assert_allclose(linear, expected, atol=1e-3)
    greys = CODES[::8, ::8] // 257
    eight = bytes_of_greys(greys, profile)
    np.testing.assert_allclose(encoded(matrix_profile(profile).linear(greys * 257)), eight, atol=1)


def bytes_of_greys(greys: np.ndarray, profile: bytes) -> np.ndarray:
    content = bytes_of(Image.fromarray(greys.astype(np.uint8)), "PNG", icc_profile=profile)
    return photo_from("p.png", content).overview().astype(int)


def test_a_16_bit_photo_with_a_profile_is_seen_as_its_8_bit_twin():
    profile = wide_gamut_profile()
    eight = np.asarray(lopsided())
    tags = [(34675, 7, len(profile), profile, True)]
    deep = photo_from("p.tif", deep_tiff(eight.astype(np.uint16) * 257, extratags=tags))
    twin = photo_from("p.png", bytes_of(lopsided(), "PNG", icc_profile=profile))
    box = Box(0, 0, *twin.size)
    apart = encoded(deep.window(box, 500).linear) - encoded(twin.window(box, 500).linear).astype(
        int
    )
    assert np.abs(apart).max() <= 1
    np.testing.assert_array_equal(deep.overview(), twin.overview())


@pytest.mark.parametrize(
    "profile",
    [
        print_profile(),
        b"",
        SRGB[:300],
        with_curve(parametric(9, 1.0)),
        with_curve(parametric(1, 1.0, 0.0, 0.0)),
        with_curve(b"none" + bytes(40)),
    ],
)
def test_a_profile_without_usable_curves_has_no_matrix(profile):
    assert matrix_profile(profile) is None
