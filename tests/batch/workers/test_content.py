"""Bytes that cannot be had are a fault of the photo, told in words."""

import pytest

from tipvision.batch.workers import content
from tipvision.photo.fault import PhotoFault


def test_a_disk_that_fails_while_a_photo_is_read_costs_that_photo(monkeypatch, tmp_path):
    def broken(_):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(content, "stream_of", broken)
    with pytest.raises(PhotoFault) as fault:
        content.content_of(str(tmp_path / "a.jpg"))
    assert fault.value.reason.text == "The file cannot be read: Input/output error."


def test_a_name_that_no_file_can_have_is_told():
    with pytest.raises(PhotoFault):
        content.content_of("a" * 5000 + ".jpg")
