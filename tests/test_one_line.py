"""What other packages say of an error fits on one line of ours."""

import pytest

from tipvision.one_line import one_line


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (ValueError("broken\n  in line 3\t(or 4)"), "broken in line 3 (or 4)"),
        (FileNotFoundError(2, "No such file", "/shop/a.jpg"), "No such file"),
        (OSError("torn"), "torn"),
        (KeyError(), "KeyError"),
        (ValueError(" \n "), "ValueError"),
    ],
)
def test_it_is_one_line_and_never_empty(error, words) -> None:
    assert one_line(error) == words
