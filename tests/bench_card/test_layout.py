"""The card's layout: what stands is sound, and what would not work is refused."""

import copy
import tomllib
from importlib import resources
from typing import Any

import pytest

from tipvision.bench_card.layout import LayoutError, layout_from, load_layout


@pytest.fixture
def data() -> dict[str, Any]:
    text = resources.files("tipvision.bench_card").joinpath("layout.toml").read_text("utf-8")
    return tomllib.loads(text)


def test_the_shipped_layout_is_read_once_and_whole() -> None:
    layout = load_layout()
    assert load_layout() is layout
    assert [marker.id for marker in layout.markers] == [20, 21, 22, 23]
    assert len(layout.windows) == 4
    assert layout.reflectance == 0.18
    assert layout.ruler.length == 100.0


def test_markers_run_clockwise_from_the_top_left() -> None:
    # The homography's corners are named after this order.
    first, second, third, fourth = (m.area.centre for m in load_layout().markers)
    assert first[0] < second[0] and third[0] > fourth[0]
    assert first[1] < fourth[1] and second[1] < third[1]


def test_the_seat_passes_its_threads() -> None:
    # A thread is named after its outside diameter: M14 is 14 mm, M18 is 18 mm. common practice
    seat = load_layout().seat
    assert 14.0 < seat.cut_diameter < 16.0
    assert 18.0 < seat.wide_diameter < 20.0


def test_the_windows_surround_the_seat() -> None:
    # Light at the seat is then read between windows, not beyond them.
    layout = load_layout()
    xs, ys = zip(*(w.area.centre for w in layout.windows), strict=True)
    assert min(xs) < layout.seat.centre[0] < max(xs)
    assert min(ys) < layout.seat.centre[1] < max(ys)


FAULTS = {
    "marker outside": (("markers", "place", 1, "at"), [135.0, 6.0], "marker 21 stands outside"),
    "quiet zone outside": (("markers", "place", 0, "at"), [1.0, 6.0], "marker 20 stands outside"),
    "window on marker's quiet zone": (
        ("windows", "place", 0, "at"),
        [23.0, 10.0],
        "marker 20 stands on window upper left",
    ),
    "window on seat": (("windows", "place", 2, "at"), [60.0, 50.0], "on the seat"),
    "window outside": (("windows", "place", 3, "at"), [98.0, 95.0], "outside the card"),
    "ruler on marker": (("ruler", "start"), [20.0, 94.0], "stands on the ruler"),
    "ruler too long": (("ruler", "length"), 140.0, "the ruler stands outside"),
    "same id twice": (("markers", "place", 2, "id"), 20, "same id"),
    "reflectance in per cent": (("windows", "reflectance"), 18.0, "between 0 and 1"),
    "no size": (("markers", "size"), 0.0, "more than 0 mm"),
    "size not a number": (("width",), float("nan"), "more than 0 mm"),
    "wide seat narrower": (("seat", "wide_diameter"), 12.0, "narrower than the seat"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_layout_that_cannot_work_is_refused(data: dict[str, Any], fault: str) -> None:
    path, value, words = FAULTS[fault]
    broken: Any = copy.deepcopy(data)
    spot = broken
    for key in path[:-1]:
        spot = spot[key]
    spot[path[-1]] = value
    with pytest.raises(LayoutError, match=words):
        layout_from(broken)
    layout_from(data)  # and only that made it fail
