import io
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from tipvision.report.shop import (
    LOGO_SIDE,
    LOGO_VARIABLE,
    NAME,
    NAME_VARIABLE,
    Shop,
    ShopError,
    checked_logo,
    keep_shop,
    load_shop,
)


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "home"
    monkeypatch.setenv("TIPVISION_HOME", str(home))
    monkeypatch.delenv(NAME_VARIABLE, raising=False)
    monkeypatch.delenv(LOGO_VARIABLE, raising=False)
    return home


@pytest.fixture
def logo(tmp_path: Path) -> Path:
    path = tmp_path / "logo.png"
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", "secret place")
    image = Image.new("RGBA", (900, 300), (0, 0, 0, 0))
    image.save(path, pnginfo=notes)
    return path


def test_without_a_setting_it_is_ours() -> None:
    assert load_shop() == Shop(NAME, None, "the default", "the default")


def test_the_environment_goes_over_the_file(
    own_home: Path, logo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = keep_shop("Hollow & Söhne", logo)
    assert file.parent == own_home
    kept = load_shop()
    assert (kept.name, kept.name_from, kept.logo_from) == ("Hollow & Söhne", str(file), str(file))
    monkeypatch.setenv(NAME_VARIABLE, "Other")
    assert load_shop().name == "Other" and load_shop().name_from == NAME_VARIABLE
    assert load_shop().logo == kept.logo


def test_a_name_alone_keeps_the_logo(logo: Path) -> None:
    keep_shop(None, logo)
    keep_shop('A "quoted" \\ name', None)
    shop = load_shop()
    assert shop.name == 'A "quoted" \\ name' and shop.logo is not None


def test_a_logo_is_small_flat_and_carries_nothing_along(logo: Path) -> None:
    png = checked_logo(logo)
    image = Image.open(io.BytesIO(png))
    assert max(image.size) == LOGO_SIDE and image.size[0] == 3 * image.size[1]
    assert image.mode == "RGB" and image.getpixel((5, 5)) == (255, 255, 255)
    assert b"secret" not in png and not image.text  # type: ignore[attr-defined]


@pytest.mark.parametrize("content", [b"", b"<svg onload='x'/>", b"\x89PNG\r\n\x1a\n cut"])
def test_what_is_no_picture_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "logo.svg"
    path.write_bytes(content)
    with pytest.raises(ShopError, match="Give a PNG or JPEG"):
        checked_logo(path)
    with pytest.raises(ShopError):
        checked_logo(tmp_path / "gone.png")


@pytest.mark.parametrize("name", ["", "  ", "x" * 100, "a\nb"])
def test_what_is_no_name_is_refused(name: str) -> None:
    with pytest.raises(ShopError, match="plain letters"):
        keep_shop(name, None)


@pytest.mark.parametrize("text", ["name = ", "name = 3", 'colour = "red"'])
def test_a_damaged_setting_says_so(own_home: Path, text: str) -> None:
    own_home.mkdir()
    (own_home / "shop.toml").write_text(text)
    with pytest.raises(ShopError, match=r"shop\.toml"):
        load_shop()
