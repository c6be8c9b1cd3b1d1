"""Distinct files of the same picture."""

import io

import numpy as np
from PIL import Image

from pipelines.bench.batch_photos import LARGE, distinct, folder_of, large_pictures, pictures


def pixels(jpeg):
    with Image.open(io.BytesIO(jpeg)) as picture:
        return np.asarray(picture)


def test_another_number_is_another_file_of_the_same_pixels(tmp_path):
    first, second = (distinct(pictures()[0], number) for number in (1, 2))
    assert first != second
    np.testing.assert_array_equal(pixels(first), pixels(second))
    folder = folder_of(tmp_path / "photos", 5)
    assert len({path.read_bytes() for path in folder.iterdir()}) == 5


def test_large_pictures_have_their_size():
    assert pixels(large_pictures()[0]).shape[:2] == LARGE[::-1]
