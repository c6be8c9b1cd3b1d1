"""Embedded colour profiles are honoured in every format that carries one."""

import numpy as np
import pytest
from PIL import Image

from pipelines.bench.print_profile import print_profile
from tests.photo.pictures import (
    bytes_of,
    encoded,
    lopsided,
    wide_gamut_profile,
)
from tipvision.photo.box import Box
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import photo_from

KINDS = ("JPEG", "PNG", "TIFF", "WebP", "AVIF", "HEIC")


@pytest.mark.parametrize("kind", KINDS)
def test_an_embedded_profile_is_honoured(kind):
    plain = Image.new("RGB", (32, 32), (200, 120, 60))
    photo = photo_from("p", bytes_of(plain, kind, icc_profile=wide_gamut_profile()))
    for pixels in (photo.overview(), encoded(photo.window(Box(0, 0, 32, 32), 64).linear)):
        # with red's and green's primaries changed over, the picture's red is sRGB's green
        assert np.abs(pixels.reshape(-1, 3).mean(axis=0) - (120, 200, 60)).max() < 4


@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_print_colours_go_through_their_profile(kind):
    def seen(*ink: int) -> np.ndarray:
        content = bytes_of(Image.new("CMYK", (30, 30), ink), kind, icc_profile=print_profile())
        photo = photo_from("p", content)
        window = photo.window(Box(0, 0, 30, 30), 100)
        assert window.clipped.all() == (photo.overview() >= 254).any()
        assert (encoded(window.linear) == photo.overview()).all()
        return photo.overview()[9, 9].astype(int)

    assert (seen(0, 0, 0, 0) >= 254).all()
    assert (seen(0, 0, 0, 255) <= 1).all()
    magenta, yellow = seen(0, 255, 0, 0), seen(0, 0, 255, 0)
    assert magenta[0] > magenta[1] + 50 and yellow[0] > yellow[2] + 50


@pytest.mark.parametrize("mode", ["RGB", "CMYK"])
def test_a_damaged_profile_and_one_for_other_pictures_are_faults(mode):
    picture = lopsided().convert(mode)
    other = print_profile() if mode == "RGB" else wide_gamut_profile()
    for profile in (b"not a profile at all" * 20, other):
        with pytest.raises(PhotoFault, match="colour profile"):
            photo_from("p.tif", bytes_of(picture, "TIFF", icc_profile=profile))
