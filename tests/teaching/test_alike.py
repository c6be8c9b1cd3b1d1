"""Copies are found, different plugs are not taken for copies."""

import cv2
import numpy as np
import pytest

from tests.teaching.conftest import SAMPLE
from tipvision.photo.photo import open_photo
from tipvision.teaching.alike import MOST_APART, alike, mark_of, numbered


@pytest.fixture(scope="module")
def pictures():
    return [open_photo(str(path)).overview() for path in sorted(SAMPLE.glob("1[0-4]?.jpg"))]


def test_photos_of_different_plugs_are_far_apart(pictures):
    marks = np.array([mark_of(picture) for picture in pictures])
    apart = np.bitwise_count(marks[:, None] ^ marks).sum(axis=2)
    assert apart[np.triu_indices(len(marks), 1)].min() > MOST_APART + 16


def test_copies_are_found(pictures):
    for picture in pictures[:12]:
        small = cv2.resize(picture, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        bright = np.clip(picture * 1.2, 0, 255).astype(np.uint8)
        _, packed = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 40])
        marks = [mark_of(one) for one in (picture, small, bright, cv2.imdecode(packed, 1))]
        assert alike(marks)[:3] == [(0, 1), (0, 2), (0, 3)]


def test_numbers_follow_names_and_ties():
    assert numbered(["a", "b", "a", "c", "d"], [(1, 3)]).tolist() == [0, 1, 0, 1, 2]
    assert numbered(["a", "b", "c"], [(0, 2), (1, 2)]).tolist() == [0, 0, 0]
    assert numbered([], []).size == 0
    assert alike([]) == []
