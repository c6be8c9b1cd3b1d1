"""Whose report it is: the shop's name and logo, from a setting."""

import io
import json
import os
import tomllib
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from tipvision.files import write_whole
from tipvision.home import home

NAME, LOGO = "Larch Hollow Trail Hire", None  # the demo's own; its logo is drawn (`mark.py`)
NAME_VARIABLE, LOGO_VARIABLE = "TIPVISION_SHOP_NAME", "TIPVISION_SHOP_LOGO"
LONGEST_NAME = 60
LOGO_SIDE = 360  # pixels, longest side as it is kept
MOST_LOGO_PIXELS = 40_000_000


class ShopError(ValueError):
    """The setting cannot be used; the message is one line that says what to do."""


@dataclass(frozen=True)
class Shop:
    """name: of the shop. logo: PNG, at most `LOGO_SIDE` pixels; None is our own mark.

    name_from, logo_from: where each was set, in words.
    """

    name: str = NAME
    logo: bytes | None = LOGO
    name_from: str = "the default"
    logo_from: str = "the default"


def load_shop() -> Shop:
    """The environment over the file in `TIPVISION_HOME` over the default, each of the two alone.

    Raises ShopError for a setting that cannot be used.
    """
    kept, file = _kept(), _file()
    name, name_from = NAME, "the default"
    logo, logo_from = None, "the default"
    if "name" in kept:
        name, name_from = checked_name(kept["name"], str(file)), str(file)
    if "logo" in kept:
        logo, logo_from = checked_logo(file.parent / kept["logo"]), str(file)
    if said := os.environ.get(NAME_VARIABLE):
        name, name_from = checked_name(said, NAME_VARIABLE), NAME_VARIABLE
    if said := os.environ.get(LOGO_VARIABLE):
        logo, logo_from = checked_logo(Path(said)), LOGO_VARIABLE
    return Shop(name, logo, name_from, logo_from)


def keep_shop(name: str | None, logo: Path | None) -> Path:
    """Keep a name, a logo or both for later reports; the file that holds them.

    Raises ShopError for what cannot be used, OSError where nothing can be written.
    """
    kept, file = _kept(), _file()
    file.parent.mkdir(parents=True, exist_ok=True)
    if name is not None:
        kept["name"] = checked_name(name, "--name")
    if logo is not None:
        write_whole(file.parent / "shop-logo.png", checked_logo(logo))
        kept["logo"] = "shop-logo.png"
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}\n" for key, value in kept.items()]
    write_whole(file, "".join(lines).encode("utf-8"))
    return file


def checked_name(name: str, where: str) -> str:
    """The name without spaces around it; ShopError for one that is empty, too long or not text."""
    if not 0 < len(name.strip()) <= LONGEST_NAME or not name.isprintable():
        raise ShopError(f"{where}: a shop's name has 1 to {LONGEST_NAME} plain letters.")
    return name.strip()


def checked_logo(path: Path) -> bytes:
    """A picture as a small PNG on white; nothing else of the file goes along.

    Raises ShopError for what is no PNG or JPEG that can be read.
    """
    try:
        with Image.open(path, formats=("PNG", "JPEG")) as image:
            if image.width * image.height > MOST_LOGO_PIXELS:
                raise ShopError(f"{path}: the logo is too large. Give a smaller picture.")
            drawn = image.convert("RGBA")
    except (OSError, ValueError, Image.DecompressionBombError, SyntaxError) as error:
        if isinstance(error, ShopError):
            raise
        raise ShopError(f"{path}: no logo can be read from it. Give a PNG or JPEG.") from error
    white = Image.new("RGBA", drawn.size, "white")
    flat = Image.alpha_composite(white, drawn).convert("RGB")
    flat.thumbnail((LOGO_SIDE, LOGO_SIDE), Image.Resampling.LANCZOS)
    buffer = io.BytesIO()
    flat.save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def _file() -> Path:
    return home() / "shop.toml"


def _kept() -> dict[str, str]:
    file = _file()
    try:
        data = tomllib.loads(file.read_text("utf-8-sig"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise ShopError(f"{file}: it cannot be read as TOML. Correct or delete it.") from error
    for key, value in data.items():
        if key not in ("name", "logo") or not isinstance(value, str):
            raise ShopError(f"{file}: only `name` and `logo` stand in it, as text, not `{key}`.")
    return data
