"""The photo of the shipped sample that tests of stored lights use: picked by its truth, so that a
sample that is made again needs no new name here."""

from pathlib import Path

from pipelines.studio.truth import PhotoTruth, read_manifest

SAMPLE = Path(__file__).parents[1] / "synthetic_images" / "sample"


def _clear(photo: PhotoTruth) -> bool:
    """Whether its lamp and camera were set as a careful person sets them, and its nose is large."""
    return (
        photo.stored_light is not None
        and photo.plug is not None
        and photo.plug.nose_lab is not None
        and photo.plug.nose_px >= 60
        and photo.white_balance == "right"
        and photo.taken.local_tone == 0
        and photo.taken.blur_px < 2
        and abs(photo.taken.ev) < 0.6
    )


STORED = next(photo for photo in read_manifest(SAMPLE / "manifest.jsonl") if _clear(photo))
assert STORED.stored_light is not None and STORED.mask is not None
PLUG, CHART, MASK = (SAMPLE / name for name in (STORED.file, STORED.stored_light.file, STORED.mask))
