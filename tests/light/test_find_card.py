"""The bench card is found as it lies, or not at all."""

import cv2
import numpy as np
import pytest

from tipvision.bench_card.layout import load_layout
from tipvision.light import find_card
from tipvision.light.find_card import find_bench_card
from tipvision.light.homography import project

OUTLINE = np.array(load_layout().card.corners)
SEAT = np.array([load_layout().seat.centre])


@pytest.mark.parametrize("roll", range(0, 360, 45))
@pytest.mark.parametrize("tilt", [0, 25, 50])
def test_found_however_it_lies(studio, roll: int, tilt: int) -> None:
    rng = np.random.default_rng(roll + tilt)
    scene = studio.scene(
        roll=roll,
        tilt=tilt,
        azimuth=rng.uniform(0, 360),
        fill=0.55,
        blur=rng.uniform(0.4, 1.4),
        noise=rng.uniform(0, 4),
        gains=(1.0, 0.8, 0.5),
        seed=roll,
    )
    view = find_bench_card(studio.photograph(scene), (4096, 3072))
    assert view is not None
    pose = np.diag([4.0, 4.0, 1.0]) @ studio.pose(scene)
    # 4096 pixels displayed, 1024 seen: 4 displayed pixels are one that was looked at.
    assert np.linalg.norm(view.seat - project(pose, SEAT)[0]) < 4.0
    assert np.linalg.norm(view.corners - project(pose, OUTLINE), axis=1).max() < 3 * 4.0
    assert view.corners == pytest.approx(view.to_px(OUTLINE))
    around = SEAT + np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    area = cv2.contourArea(project(pose, around).astype(np.float32))  # of one mm²
    assert view.px_per_mm == pytest.approx(np.sqrt(area), rel=0.01)


def test_corners_go_round_from_the_cards_own_top_left(studio) -> None:
    upright = find_bench_card(studio.photograph(studio.scene()), (1024, 768))
    turned = find_bench_card(studio.photograph(studio.scene(roll=180)), (1024, 768))
    assert upright is not None and turned is not None
    assert upright.corners[0][0] < 512 and upright.corners[0][1] < 384
    assert turned.corners[0][0] > 512 and turned.corners[0][1] > 384
    middle = (1024, 768)
    assert turned.corners == pytest.approx(middle - upright.corners, abs=2.0)


def test_scale_is_that_of_the_displayed_photo(studio) -> None:
    photo = studio.photograph(studio.scene())
    small, large = (find_bench_card(photo, size) for size in ((1024, 768), (4096, 3072)))
    assert small is not None and large is not None
    assert small.px_per_mm == pytest.approx(0.75 * 1024 / 148, rel=0.005)
    assert large.px_per_mm == pytest.approx(4 * small.px_per_mm)
    assert large.corners == pytest.approx(4 * small.corners)


@pytest.mark.parametrize("hidden", ["marker 20", "marker 21", "marker 22", "marker 23"])
def test_one_marker_may_be_hidden(studio, hidden: str) -> None:
    scene = studio.scene(hidden=(hidden,), tilt=20, azimuth=70)
    view = find_bench_card(studio.photograph(scene), scene.size)
    assert view is not None
    assert np.linalg.norm(view.seat - project(studio.pose(scene), SEAT)[0]) < 1.5


def test_two_hidden_markers_are_too_many(studio) -> None:
    scene = studio.scene(hidden=("marker 20", "marker 22"))
    assert find_bench_card(studio.photograph(scene), scene.size) is None


def test_a_mirrored_card_is_refused(studio) -> None:
    for roll in (0, 90, 200):
        photo = studio.photograph(studio.scene(mirrored=True, roll=roll, fill=0.6))
        assert find_bench_card(photo, (1024, 768)) is None
        assert find_bench_card(np.ascontiguousarray(photo[:, ::-1]), (1024, 768)) is not None


def test_markers_swapped_by_hand_are_refused(studio) -> None:
    # Each marker is whole and can be read; together they are no card.
    scene = studio.scene()
    photo = studio.photograph(scene)
    zones = [marker.quiet_zone for marker in load_layout().markers]
    places = []
    for zone in zones:
        x0, y0 = project(studio.pose(scene), np.array(zone.corners))[0]
        places.append((slice(round(y0), round(y0) + 103), slice(round(x0), round(x0) + 103)))
    blocks = [photo[place].copy() for place in places]
    assert find_bench_card(photo, scene.size) is not None
    for place, block in zip(places, [blocks[2], blocks[0], blocks[1], blocks[3]], strict=True):
        photo[place] = block
    assert find_bench_card(photo, scene.size) is None


def test_two_cards_in_one_photo_are_refused(studio) -> None:
    left = studio.photograph(studio.scene(fill=0.45, shift=(-260, 0)))
    right = studio.photograph(studio.scene(fill=0.45, shift=(260, 0)))
    both = np.concatenate([left[:, :512], right[:, 512:]], axis=1)
    assert find_bench_card(left, (1024, 768)) is not None
    assert find_bench_card(both, (1024, 768)) is None


def test_a_strongly_bent_card_is_refused(studio) -> None:
    photo = studio.photograph(studio.scene())
    y, x = np.indices(photo.shape[:2], np.float32)
    wave = 30 * np.sin(x / 1024 * 2 * np.pi).astype(np.float32)
    bent = cv2.remap(photo, x, y + wave * (y > 384), cv2.INTER_LINEAR)
    assert find_bench_card(bent, (1024, 768)) is None


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_found_where_no_card_is(seed: int) -> None:
    rng = np.random.default_rng(seed)
    noise = rng.integers(0, 256, (768, 1024, 3), dtype=np.uint8)
    blocks = rng.integers(0, 2, (48, 64, 1), dtype=np.uint8).repeat(3, axis=2) * 255
    coarse = np.kron(blocks, np.ones((16, 16, 1), np.uint8))
    y, x = np.indices((768, 1024)) // (20 + 7 * seed)
    board = np.repeat(((x + y) % 2 * 255).astype(np.uint8)[..., None], 3, axis=2)
    for photo in (noise, coarse, board, np.zeros_like(noise), np.full_like(noise, 255)):
        assert find_bench_card(np.ascontiguousarray(photo), (1024, 768)) is None


def test_the_overview_is_left_as_it_was(studio) -> None:
    photo = studio.photograph(studio.scene())
    before = photo.copy()
    find_bench_card(photo, (1024, 768))
    assert (photo == before).all()


def test_the_glance_loses_no_card_that_the_search_finds(studio, monkeypatch) -> None:
    rng, photos = np.random.default_rng(2), []
    for seed in range(10):
        scene = studio.scene(
            roll=rng.uniform(0, 360),
            tilt=rng.uniform(0, 45),
            azimuth=rng.uniform(0, 360),
            fill=rng.uniform(0.18, 0.35),
            blur=rng.uniform(0.4, 1.6),
            noise=rng.uniform(0, 6),
            gains=tuple(rng.uniform(0.2, 1.0) * np.array([1.0, 0.8, 0.6])),
            seed=seed,
        )
        photos.append(studio.photograph(scene))
    found = [find_bench_card(photo, (1024, 768)) is not None for photo in photos]
    monkeypatch.setattr(find_card, "_glanced_at", lambda _: True)
    searched = [find_bench_card(photo, (1024, 768)) is not None for photo in photos]
    assert found == searched
    assert sum(found) >= 5
