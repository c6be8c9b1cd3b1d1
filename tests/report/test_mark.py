import re

import pytest

from tipvision.report.mark import SIDE, mark, svg_path


def test_the_mark_lies_in_its_square_and_is_closed() -> None:
    assert len(mark()) == 10  # a trunk, eight branches, the hollow
    for polygon in mark():
        assert len(polygon) >= 4
        assert all(0 <= x <= SIDE and 0 <= y <= SIDE for x, y in polygon)


def test_the_larch_is_even() -> None:
    branches = mark()[1:9]
    for left, right in zip(branches[::2], branches[1::2], strict=True):
        for (x0, y0), (x1, y1) in zip(left, right, strict=True):
            assert (x0 + x1, y0) == pytest.approx((SIDE, y1))


def test_as_svg() -> None:
    path = svg_path()
    assert path.count("M") == path.count("Z") == len(mark())
    assert re.fullmatch(r"[MLZ0-9. ]+", path)
