from dataclasses import replace

import pytest

from tests.report import samples
from tipvision.comparison.labels import labels_of, plug_name


def named(*photos: str):  # type: ignore[no-untyped-def]
    return [replace(samples.READ, photo=photo) for photo in photos]


@pytest.mark.parametrize(
    ("photos", "labels"),
    [
        (["QD-03 cyl1.jpg", "QD-03 cyl2.jpg"], ["cylinder 1", "cylinder 2"]),
        (["a/Cylinder_10.jpg", "b\\cylinder-2.heic"], ["cylinder 10", "cylinder 2"]),
        (["sx-01-left.jpg", "sx-01-right.jpg"], ["left", "right"]),
        (["shop/sx 1.jpg", "shop/sx 2.jpg", "shop/sx 3.jpg"], [f"cylinder {n}" for n in (1, 2, 3)]),
        (["front plug.jpg", "rear plug.jpg"], ["front", "rear"]),
        (["20260512_081101.jpg", "20260512_081144.jpg"], ["081101", "081144"]),
        (["gn-02-a.jpg", "sx_01.left.jpg"], ["gn-02-a", "sx_01.left"]),
        (["shop (rear-a).jpg", "shop (top-b).jpg"], ["rear-a", "top-b"]),
        (["set.jpg", "set.jpg", "set.jpg"], ["plug 1", "plug 2", "plug 3"]),
        (["-", "a.jpg"], ["plug 1", "plug 2"]),
        (["x" * 60 + ".jpg", "y.jpg"], ["plug 1", "plug 2"]),
    ],
)
def test_labels_from_file_names(photos: list[str], labels: list[str]) -> None:
    assert list(labels_of(named(*photos))) == labels


def test_what_was_said_goes_over_the_names() -> None:
    assert labels_of(named("cyl1.jpg", "cyl2.jpg"), ["2", " rear "]) == ("cylinder 2", "rear")


@pytest.mark.parametrize("said", [["1"], ["1", "1"], ["1", ""], ["1", "x" * 30], ["1", "a\nb"]])
def test_what_names_no_plug_is_refused(said: list[str]) -> None:
    with pytest.raises(ValueError):
        labels_of(named("a.jpg", "b.jpg"), said)


@pytest.mark.parametrize(
    ("photo", "name"),
    [
        ("C:\\shop\\TB-07-a.jpg", "tb 07"),
        ("tb-07_2026-05-12.jpg", "tb 07"),
        ("tb-07 20260512_143000.jpg", "tb 07"),
        ("SX-01-left.jpg", "sx 01 left"),
        ("IMG_2041.jpg", "img"),
        ("20260512_143000.jpg", ""),
    ],
)
def test_the_name_of_a_plug_is_what_does_not_change_from_shot_to_shot(photo, name) -> None:
    assert plug_name(photo) == name
