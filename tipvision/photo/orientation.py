"""EXIF orientation: from the picture as stored to the picture as a person sees it.

Orientation values 1 to 8 are those of the Exif standard (CIPA DC-008, tag 0x0112).
"""

from PIL import Image

from tipvision.photo.box import Box

_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


def upright(picture: Image.Image, orientation: int) -> Image.Image:
    """The picture turned and mirrored as `orientation` asks; unknown values leave it alone."""
    turn = _UPRIGHT.get(orientation)
    return picture if turn is None else picture.transpose(turn)


def displayed_size(stored: tuple[int, int], orientation: int) -> tuple[int, int]:
    """(width, height) as displayed of a picture stored with that (width, height)."""
    return (stored[1], stored[0]) if orientation in (5, 6, 7, 8) else stored


def stored_box(box: Box, stored: tuple[int, int], orientation: int) -> Box:
    """Where a box of the displayed picture lies in the stored one of (width, height) `stored`."""
    width, height = stored
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    if orientation in (5, 6, 7, 8):  # the axes change places
        x0, y0, x1, y1 = y0, x0, y1, x1
    if orientation in (2, 3, 7, 8):  # mirrored left to right in the stored picture
        x0, x1 = width - x1, width - x0
    if orientation in (3, 4, 6, 7):  # mirrored top to bottom
        y0, y1 = height - y1, height - y0
    return Box(x0, y0, x1, y1)
