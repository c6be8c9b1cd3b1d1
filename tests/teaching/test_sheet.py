"""The sheet shows each doubtful picture with both opinions, and reaches for nothing outside."""

from tipvision.teaching.doubtful import Doubt
from tipvision.teaching.sheet import sheet_of


def test_each_picture_is_in_the_page_itself(tmp_path, photo):
    first = photo(tmp_path / "<b>.jpg", 1, (900, 600))
    found = [
        Doubt(str(first), "normal", 0.1, "wet_black", 0.8, 2.1),
        Doubt(str(photo(tmp_path / "two.jpg", 2)), "unused", 0.3, "normal", 0.4, 0.3),
    ]
    page = sheet_of("shop-1", found)
    assert page.count("data:image/jpeg;base64,") == 2
    assert "labelled normal (10 %), looks like wet black (80 %)" in page
    assert "&lt;b&gt;.jpg" in page
    assert "<script" not in page
    assert str(tmp_path) not in page
