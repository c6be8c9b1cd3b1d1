import base64
import hashlib
import re
import shutil
import subprocess
from pathlib import Path
from urllib.parse import unquote

import pytest

from tests.batch.views.made import batch, entry
from tests.batch.views.sheets import Read, page_of, pages_in, write_sheet
from tests.report import samples
from tipvision.batch.views import sheet_page
from tipvision.batch.views.sheet import FOLDER
from tipvision.batch.views.sheet_pages import SHEET
from tipvision.report.shop import Shop

CHROMIUM = shutil.which("chromium")


@pytest.fixture
def small_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_page, "MOST_ROWS", 20)


@pytest.mark.usefixtures("small_pages")
def test_a_page_needs_nothing_from_elsewhere(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(60))
    for path in pages_in(tmp_path):
        page = path.read_text("utf-8")
        outline = Read(page)
        assert "default-src 'none'" in page
        tags = {tag for tag, _ in outline.tags}
        assert not tags & {"link", "iframe", "object", "base", "embed"}
        for tag, attributes in outline.tags:
            assert not [key for key in attributes if key.startswith("on")], tag
            assert (attributes.get("src") or "data:image/jpeg;").startswith("data:image/jpeg;")
            if tag == "a":
                target = path.parent / unquote((attributes["href"] or "").partition("#")[0])
                assert target.exists(), attributes


def test_the_policy_allows_the_script_that_stands_in_the_page(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(5))
    page = page_of(tmp_path)
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.S)
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode()
    assert f"script-src 'sha256-{digest}' 'strict-dynamic'" in page
    assert "innerHTML" not in script and "eval(" not in script and "document.write" not in script


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    nasty = '"><script>alert(1)</script>'
    one = entry(f"{nasty}.jpg", samples.READ, machine=nasty)
    write_sheet(
        tmp_path,
        [one, *batch(20)],
        odd_plugs=[{"machine": nasty, "folder": nasty, "odd": [], "uneven": True, "photos": {}}],
    )
    page = page_of(tmp_path)
    assert page.count("<script>") == 1 and "<img src=x" not in page
    text = Read(page).text
    assert text.count(f"{nasty}.jpg") == 1 and f"{nasty} ({nasty})" not in page
    assert "49" not in re.findall(r"&amp;amp;.*?jpg", page)[0]
    for script in tmp_path.glob(f"{FOLDER}/*/*.js"):
        assert b"<" not in script.read_bytes()


def test_a_batch_that_fits_stands_on_one_page(tmp_path: Path) -> None:
    tally = write_sheet(tmp_path, batch(60), made_at="2026-11-26T03:22:01+00:00")
    assert pages_in(tmp_path) == [tmp_path / SHEET]
    text = Read(page_of(tmp_path)).text.replace("\u00a0", " ")
    assert f"{tally.photos} files, 2026-11-26 03:22 UTC" in text
    assert f"Together {tally.rows}" in text and f"Together {tally.read}" in text
    assert "stopped before everything" not in text
    assert "Scripts are off" in text


@pytest.mark.usefixtures("small_pages")
def test_a_longer_batch_has_pages_whose_counts_add_up(tmp_path: Path) -> None:
    tally = write_sheet(tmp_path, batch(90), complete=False)
    index = page_of(tmp_path)
    assert "stopped before everything" in index and "<script>" not in index
    _, *pages = pages_in(tmp_path)
    assert len(pages) > 3
    table = index[index.index('id="pages"') :]
    rows = re.findall(
        r"<tr><th scope=\"row\"><a href=\"([^\"]+)\">\d+</a></th>(.*?)</tr>", table, re.S
    )
    assert [tmp_path / address for address, _ in rows] == pages
    counts = [
        [int(n) for n in re.findall(r">(\d+)<", cells.partition("</bdi>")[2])] for _, cells in rows
    ]
    assert sum(count[0] for count in counts) == tally.rows
    assert all(count[0] <= 20 for count in counts)
    for (address, _), (whole, *_) in zip(rows, counts, strict=True):
        assert f"Together {whole}" in Read((tmp_path / address).read_text("utf-8")).text


def test_whose_sheet_it_is_stands_on_it(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(3), Shop("Hollow <Works>"))
    assert "Hollow <Works>" in Read(page_of(tmp_path)).text


def test_a_batch_of_nothing_has_a_sheet(tmp_path: Path) -> None:
    write_sheet(tmp_path, ())
    assert "0 files" in page_of(tmp_path)


def in_a_browser(address: str, home: Path) -> str:
    """The page as chromium has it once its script has run."""
    run = subprocess.run(
        [
            *(str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu"),
            *("--virtual-time-budget=4000", f"--user-data-dir={home}", "--dump-dom", address),
        ],
        capture_output=True,
        timeout=60,
        check=True,
    )
    return run.stdout.decode("utf-8")


@pytest.mark.skipif(CHROMIUM is None, reason="needs the browser chromium")
def test_a_browser_shows_as_many_rows_as_the_link_counts(tmp_path: Path) -> None:
    tally = write_sheet(tmp_path, batch(150))
    link = "#state=read&condition=dry_black"
    assert link.replace("&", "&amp;") in page_of(tmp_path)
    page = in_a_browser((tmp_path / SHEET).as_uri() + link, tmp_path / "home")
    assert f">{tally.groups['dry_black']} of {tally.rows}</output>" in page
    listed = page.partition('id="list"')[2].partition("<noscript")[0]
    assert re.search(r'role="option".*?<b class="answer">Dry black</b>', listed, re.S)
    assert 'src="data:image/jpeg;base64,' in listed
    assert '<p id="missing" hidden' in page


@pytest.mark.skipif(CHROMIUM is None, reason="needs the browser chromium")
def test_a_sheet_without_its_folder_says_so(tmp_path: Path) -> None:
    write_sheet(tmp_path, batch(3))
    shutil.rmtree(tmp_path / FOLDER)
    page = in_a_browser((tmp_path / SHEET).as_uri(), tmp_path / "home")
    assert '<p id="missing">' in page
