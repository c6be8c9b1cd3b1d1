"""Contact sheets: the photos of a set side by side, without words, to be looked at."""

from pathlib import Path

from PIL import Image, ImageOps

from pipelines.studio.truth import read_manifest

COLUMNS = 8


def write_sheet(manifest: Path, out: Path, first: int, count: int, tile: int) -> None:
    """Write `count` photos from number `first` on as one JPEG, each within `tile` pixels.

    Raises ManifestError for a manifest that does not hold, ValueError when it has no such photos.
    """
    photos = read_manifest(manifest)[first : first + count]
    if not photos:
        raise ValueError(f"{manifest} has no photo number {first}; lower --first")
    rows = -(-len(photos) // COLUMNS)
    sheet = Image.new("RGB", (COLUMNS * tile, rows * tile), (40, 40, 40))
    for k, photo in enumerate(photos):
        with Image.open(manifest.parent / photo.file) as stored:
            shown = ImageOps.exif_transpose(stored).convert("RGB")
        shown.thumbnail((tile - 4, tile - 4), Image.Resampling.LANCZOS)
        x, y = k % COLUMNS * tile, k // COLUMNS * tile
        sheet.paste(shown, (x + (tile - shown.width) // 2, y + (tile - shown.height) // 2))
    sheet.save(out, "JPEG", quality=85)
