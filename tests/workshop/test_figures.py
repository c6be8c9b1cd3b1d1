import pytest

from tipvision.causes.entries import is_source
from tipvision.workshop.figures import figures, parse_figures, parse_torques, torques

ROW = '[[torque]]\nthread = "M14"\nseat = "gasket"\nheads = ["iron"]\nnm = [24, 34]\n'
SOURCED = 'source = "our estimate"\n'


def test_every_figure_has_a_listed_source() -> None:
    assert len(figures()) > 5 and len(torques()) > 10
    for figure in (*figures().values(), *torques().values()):
        assert is_source(figure.source)


@pytest.mark.parametrize(
    "text",
    [
        '[a]\nvalue = "much"\nsource = "our estimate"',
        "[a]\nvalue = 1.0",
        '[a]\nvalue = 1.0\nsource = "a friend"',
        '[a]\nvalue = [2.0, 1.0]\nsource = "our estimate"',
        '[a]\nvalue = [1.0, 2.0, 3.0]\nsource = "our estimate"',
        '[a]\nvalue = -1.0\nsource = "our estimate"',
    ],
)
def test_a_damaged_figure_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="a: "):
        parse_figures(text)


@pytest.mark.parametrize(
    "text",
    [
        ROW,
        SOURCED + ROW + ROW,
        SOURCED + ROW.replace("M14", "M15"),
        SOURCED + ROW.replace("iron", "tin"),
        SOURCED + ROW.replace("gasket", "flat"),
        SOURCED + ROW.replace("[24, 34]", "[34, 24]"),
    ],
)
def test_a_damaged_torque_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        parse_torques(text)


def test_a_sound_row_is_kept() -> None:
    rows = parse_torques(SOURCED + ROW)
    assert rows["M14", "gasket", "iron"].high == 34.0
