"""Contact sheets: the photos of a set side by side, without words, to be looked at."""

from pathlib import Path

from PIL import Image, ImageOps

from pipelines.studio.picture_files import PictureError, read_picture
from pipelines.studio.truth import read_manifest

COLUMNS = 8

HIGHEST = 65_500
"""Rows of pixels that a JPEG can hold."""


def write_sheet(manifest: Path, out: Path, first: int, count: int, tile: int) -> None:
    """Write `count` photos from number `first` on as one JPEG, each within `tile` pixels.

    Raises ManifestError for a manifest that does not hold, PictureError for a photo that cannot be
    read, ValueError when there are no such photos or too many for one picture.
    """
    photos = read_manifest(manifest)[first : first + count]
    if not photos:
        raise ValueError(f"{manifest} has no photo number {first}; lower --first")
    rows = -(-len(photos) // COLUMNS)
    if rows * tile > HIGHEST:
        raise ValueError(
            f"{out}: {rows * tile} rows of pixels are too many; lower --count or --tile"
        )
    sheet = Image.new("RGB", (COLUMNS * tile, rows * tile), (40, 40, 40))
    for k, photo in enumerate(photos):
        shown = _shown(manifest.parent / photo.file)
        shown.thumbnail((tile - 4, tile - 4), Image.Resampling.LANCZOS)
        x, y = k % COLUMNS * tile, k // COLUMNS * tile
        sheet.paste(shown, (x + (tile - shown.width) // 2, y + (tile - shown.height) // 2))
    sheet.save(out, "JPEG", quality=85)


def _shown(path: Path) -> Image.Image:
    try:
        return ImageOps.exif_transpose(read_picture(path)).convert("RGB")
    except PictureError as error:
        raise PictureError(f"{error}. Make the set again.") from error
