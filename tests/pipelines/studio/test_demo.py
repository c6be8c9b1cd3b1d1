"""The demo photos that lie in the project hold what their documentation promises."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from pipelines.studio.labels import box_of
from pipelines.studio.plug import CONDITIONS
from pipelines.studio.truth import MASK_LABELS, PhotoTruth, read_manifest
from tipvision.bench_card.layout import load_layout

FOLDER = Path(__file__).parents[3] / "synthetic_images" / "demo"


@pytest.fixture(scope="module")
def photos() -> list[PhotoTruth]:
    return read_manifest(FOLDER / "manifest.jsonl")


def test_five_conditions_and_one_photo_without_a_plug(photos: list[PhotoTruth]) -> None:
    assert sorted(p.plug.condition or "" for p in photos if p.plug) == sorted(CONDITIONS)
    assert sum(p.plug is None for p in photos) == 1
    assert all((FOLDER / p.file).stat().st_size <= 250_000 for p in photos)
    assert sum(p.exif_orientation == 6 for p in photos) == 1


def test_names_do_not_tell_the_condition(photos: list[PhotoTruth]) -> None:
    for photo in photos:
        for word in ("black", "white", "normal", "unused", "wet", "dry", "oil", "soot", " "):
            assert word not in photo.file


def test_masks_fit_the_displayed_photo(photos: list[PhotoTruth]) -> None:
    for photo in photos:
        with Image.open(FOLDER / photo.file) as stored:
            shown = ImageOps.exif_transpose(stored)
        assert shown.size == photo.size
        if photo.mask is None or photo.plug is None:
            continue
        with Image.open(FOLDER / photo.mask) as stored:
            mask = np.asarray(stored)
        assert mask.shape[::-1] == photo.size
        assert set(np.unique(mask)) <= set(MASK_LABELS)
        nose = np.isin(mask, (1, 2)).sum() / photo.plug.px_per_mm**2
        assert photo.plug.box == box_of(mask, 0)
        assert 3.0 < nose < 40.0  # mm² of a nose some 5 mm across, partly behind the strap


def test_cards_lie_wholly_in_the_frame_and_are_found_there(photos: list[PhotoTruth]) -> None:
    cv2 = pytest.importorskip("cv2")
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    )
    cards = [(p, p.corners_of("bench_card")) for p in photos if p.references]
    assert len(cards) == 4
    for photo, outline in cards:
        corners = np.array(outline)
        assert photo.references[0].state == ("whole",)
        assert np.all(corners > 0) and np.all(corners < photo.size)
        with Image.open(FOLDER / photo.file) as stored:
            grey = np.asarray(ImageOps.exif_transpose(stored).convert("L"))
        found, ids, _ = detector.detectMarkers(grey)
        assert sorted(ids.ravel()) == [20, 21, 22, 23], photo.file
        # Markers 20 to 23 go round the card as its corners do; distances are the layout's.
        places = {m.id: np.array(m.area.corners) for m in load_layout().markers}
        scale = np.linalg.norm(corners[0] - corners[2]) / np.linalg.norm([148.0, 105.0])
        card = np.array([[0, 0], [148, 0], [148, 105], [0, 105]])
        for marker, number in zip(found, ids.ravel(), strict=True):
            k = number - 20
            away = np.linalg.norm(marker.reshape(4, 2)[k] - corners[k]) / scale
            assert away == pytest.approx(np.linalg.norm(places[number][k] - card[k]), abs=2.0)
