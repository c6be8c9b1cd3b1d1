"""Half scale costs a wide nose next to nothing of its colour."""

from pipelines.bench.budget import SAMPLE
from pipelines.bench.decode_cost import shifts_of
from tipvision.photo.photo import open_photo


def test_a_wide_nose_keeps_its_colour_at_half_scale() -> None:
    photos = [SAMPLE / name for name in ("001.jpg", "047.jpg", "089.jpg")]
    upright = [p for p in photos if open_photo(str(p)).metadata.orientation == 1]
    shifts = [shift for photo in upright for shift in shifts_of(photo)]
    assert shifts and max(shifts) < 0.5
