"""A closer look shows the photo's own pixels."""

from pathlib import Path

import numpy as np
from PIL import Image

from tipvision.photo.box import Box
from tipvision.photo.photo import open_photo
from tipvision.tip.closer import full_pixels


def test_it_gives_the_codes_of_the_file(tmp_path: Path) -> None:
    picture = np.random.default_rng(0).integers(0, 256, (90, 120, 3)).astype(np.uint8)
    Image.fromarray(picture).save(tmp_path / "a.png")
    closer = full_pixels(open_photo(str(tmp_path / "a.png")))
    seen = closer(Box(20, 10, 80, 70), 200)
    assert np.abs(seen.astype(int) - picture[10:70, 20:80]).max() <= 1
    assert max(closer(Box(0, 0, 120, 90), 40).shape) <= 40
