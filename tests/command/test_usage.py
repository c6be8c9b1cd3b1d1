"""What no command takes is told in one line that says where to look."""

import pytest


@pytest.mark.parametrize(
    ("arguments", "fault", "where"),
    [
        ([], "COMMAND", "tipvision --help"),
        (["pull"], "'pull'", "tipvision --help"),
        (["--loud", "read", "a.jpg"], "'--loud' means nothing", "tipvision --help"),
        (["read"], "PHOTO", "tipvision read --help"),
        (["read", "a.jpg", "--loud"], "'--loud' means nothing", "tipvision read --help"),
        (["read", "a.jpg", "--a\nb"], "'--a?b' means nothing", "tipvision read --help"),
        (["read", "a.jpg", "--light"], "--light", "tipvision read --help"),
        (["read", "a.jpg", "--stroke", "three"], "'three'", "tipvision read --help"),
        (["light", "keep", "a.jpg"], "--name", "tipvision light keep --help"),
        (["reckon", "heat-range", "x"], "a whole number, not 'x'", "tipvision reckon heat-range"),
    ],
)
def test_a_usage_fault_is_one_line_and_status_2(run, arguments, fault, where):
    status, out, err = run(*arguments)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert err.startswith("error[usage]: ") and fault in err
    assert f"What there is: {where}" in err
