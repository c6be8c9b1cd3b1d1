"""Photos and masks of a set as they lie on disk: read wholly or refused by name."""

from pathlib import Path

from PIL import Image


class PictureError(ValueError):
    """A file that holds no whole picture; the message names it and says what is wrong."""


def read_picture(path: Path) -> Image.Image:
    """The picture as stored, every pixel decoded. Raises PictureError when that cannot be done."""
    try:
        with Image.open(path) as picture:
            picture.load()
            return picture
    except FileNotFoundError as error:
        raise PictureError(f"{path} is missing") from error
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PictureError(f"{path} is no whole picture") from error
