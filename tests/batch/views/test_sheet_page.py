import base64
import json

from tests.batch.views.made import entry, thumbnail
from tests.report import samples
from tipvision.batch.views import sheet_page as module
from tipvision.batch.views.rows import rows_of
from tipvision.batch.views.sheet_page import Page


def filled(count: int) -> tuple[Page, dict[str, bytes]]:
    files: dict[str, bytes] = {}
    page = Page(3, files.__setitem__)
    for number in range(count):
        small = None if number % 4 == 3 else thumbnail(number % 250)
        one = entry(f"{number}.jpg", samples.READ, thumbnail=small)
        page.add(one, rows_of(one))
    page.close()
    return page, files


def test_each_row_finds_its_thumbnail(monkeypatch) -> None:
    monkeypatch.setattr(module, "PICTURES", 5)
    _, files = filled(23)
    rows = json.loads(files["rows-3.js"][len("sheetRows(") : -3])["rows"]
    pictures: dict[int, bytes] = {}
    for name, content in files.items():
        if name.startswith("pictures-3-"):
            batch, listed = json.loads(b"[" + content[len("sheetPictures(") : -3] + b"]")
            assert name == f"pictures-3-{batch}.js" and len(listed) <= 5
            pictures |= {batch * 5 + k: base64.b64decode(one) for k, one in enumerate(listed)}
    for number, row in enumerate(rows):
        expected = None if number % 4 == 3 else thumbnail(number % 250)
        assert (pictures[row[1]] if row[1] >= 0 else None) == expected
    assert len(pictures) == sum(row[1] >= 0 for row in rows)


def test_a_page_has_room_for_so_many_rows_and_one_photo_always(monkeypatch) -> None:
    monkeypatch.setattr(module, "MOST_ROWS", 4)
    page, _ = filled(2)
    assert page.has_room(2) and not page.has_room(3)
    assert Page(1, lambda *_: None).has_room(9)


def test_the_first_rows_also_stand_in_the_page() -> None:
    page, _ = filled(module.PLAIN + 10)
    assert len(page.plain) == module.PLAIN
    assert page.first == page.plain[0].file == "0.jpg"
    assert page.plain[0].picture.startswith("data:image/jpeg;base64,")
    assert page.plain[3].picture == ""
