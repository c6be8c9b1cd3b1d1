"""What a photo may take of memory is reckoned before it is decoded."""

import dataclasses

import pytest

from tipvision.photo.fault import PhotoFault
from tipvision.photo.header import Header
from tipvision.photo.memory import MOST_MEMORY, needed, refuse_costly
from tipvision.photo.metadata import Metadata

PLAIN = Header("JPEG", (11_547, 8_660), "RGB", Metadata())


def test_a_jpeg_of_100_megapixels_is_affordable_at_either_scale():
    for half in (False, True):
        refuse_costly(PLAIN, half, held=40_000_000)
    assert needed(PLAIN, True, 0) < needed(PLAIN, False, 0)


def test_a_progressive_jpeg_keeps_two_bytes_for_every_sample():
    even = dataclasses.replace(PLAIN, layers=((1, 1), (1, 1), (1, 1)))
    phone = dataclasses.replace(PLAIN, layers=((2, 2), (1, 1), (1, 1)))
    assert needed(even, True, 0) - needed(PLAIN, True, 0) == pytest.approx(6 * PLAIN.pixels)
    assert needed(phone, True, 0) - needed(PLAIN, True, 0) == pytest.approx(3 * PLAIN.pixels)
    refuse_costly(phone, True, 10_000_000)
    with pytest.raises(PhotoFault, match="JPEG picture of 100 megapixels takes too much memory"):
        refuse_costly(even, True, 0)


def test_print_colours_take_a_fourth_byte():
    inks = dataclasses.replace(PLAIN, mode="CMYK")
    assert needed(inks, False, 0) - needed(PLAIN, False, 0) == PLAIN.pixels
    refuse_costly(inks, False, MOST_MEMORY - 4 * inks.pixels)
    with pytest.raises(PhotoFault, match="too much memory"):
        refuse_costly(inks, False, MOST_MEMORY - 4 * inks.pixels + 1)


def test_16_bits_a_second_copy_and_the_file_itself_count():
    tiff = dataclasses.replace(PLAIN, kind="TIFF")
    deep = dataclasses.replace(tiff, deep=True)
    turned = dataclasses.replace(tiff, turned=True)
    assert needed(deep, False, 0) == needed(turned, False, 0) == 2 * needed(tiff, False, 0)
    refuse_costly(tiff, False, 0)
    with pytest.raises(PhotoFault, match="of 16 bits a channel of 100 megapixels"):
        refuse_costly(deep, False, 0)
    with pytest.raises(PhotoFault, match="too much memory"):
        refuse_costly(tiff, False, MOST_MEMORY - 3 * tiff.pixels)
