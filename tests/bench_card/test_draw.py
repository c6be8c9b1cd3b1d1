"""The printed card: one A4 page, true to size, in plain words, the same every time."""

import io
import shutil
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pypdf
import pytest

from tipvision.bench_card.draw import CARD_TOP, PAGE_WIDTH, draw_card
from tipvision.bench_card.layout import load_layout
from tipvision.bench_card.raster import raster_card

MM = 72 / 25.4


@pytest.fixture(scope="module")
def pdf() -> bytes:
    stream = io.BytesIO()
    draw_card(stream)
    return stream.getvalue()


def test_one_page_of_a4(pdf: bytes) -> None:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 1
    # ISO 216: A4 is 210 mm by 297 mm
    assert float(pages[0].mediabox.width) == pytest.approx(210 * MM, abs=0.01)
    assert float(pages[0].mediabox.height) == pytest.approx(297 * MM, abs=0.01)


def test_the_same_bytes_every_time(pdf: bytes, tmp_path: Path) -> None:
    draw_card(tmp_path / "card.pdf")
    assert (tmp_path / "card.pdf").read_bytes() == pdf
    draw_card(str(tmp_path / "named.pdf"))
    assert (tmp_path / "named.pdf").read_bytes() == pdf


def test_it_is_drawn_in_vectors_black_to_white(pdf: bytes) -> None:
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    assert not list(page.images)
    operators = {name for _, name in page.get_contents().operations}  # type: ignore[union-attr]
    assert b"re" in operators
    assert not operators & {b"rg", b"RG", b"k", b"K", b"sc", b"scn", b"SC", b"SCN"}


@pytest.mark.parametrize(
    "words",
    [
        "Print this page at 100 %",
        "Measure the 100 mm ruler",
        "photographer’s 18 % grey card",
        "reflectance 0.18",
        "cut two strips of 88 × 24 mm",
        "Stand the plug on its terminal",
        "all four square markers",
        "Engine cold before a plug comes out",
        "Ignition off",
        "Plug out and cool",
        "Bench card 1",
        "100 mm",
    ],
)
def test_it_says_what_to_do(pdf: bytes, words: str) -> None:
    text = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert words in " ".join(text.split())


def test_the_strips_cover_their_windows_and_leave_the_seat_free() -> None:
    # The card asks for two strips of 88 by 24 mm behind the windows.
    layout = load_layout()
    for pair in (layout.windows[:2], layout.windows[2:]):
        left = min(w.area.x for w in pair)
        right = max(w.area.x + w.area.width for w in pair)
        assert 88.0 - (right - left) >= 2 * 4.0
        middle = pair[0].area.centre[1]
        assert 24.0 - pair[0].area.height >= 2 * 4.0
        assert abs(middle - layout.seat.centre[1]) - 12.0 > layout.seat.wide_diameter / 2


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm is not installed")
def test_what_is_printed_is_the_layout(pdf: bytes, tmp_path: Path) -> None:
    layout, px_per_mm = load_layout(), 254 / 25.4
    (tmp_path / "card.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", "254", "-gray", "-singlefile", "card.pdf", "card"]
    subprocess.run(command, cwd=tmp_path, check=True)
    page = cv2.imread(str(tmp_path / "card.pgm"), cv2.IMREAD_GRAYSCALE)
    assert page is not None
    left, top = round((PAGE_WIDTH - layout.width) / 2 * px_per_mm), round(CARD_TOP * px_per_mm)
    wanted = raster_card(px_per_mm, 255, 255)
    printed = page[top : top + wanted.shape[0], left : left + wanted.shape[1]]
    for marker in layout.markers:
        (x0, y0), _, (x1, y1), _ = marker.quiet_zone.corners
        place = (
            slice(round(y0 * px_per_mm), round(y1 * px_per_mm)),
            slice(round(x0 * px_per_mm), round(x1 * px_per_mm)),
        )
        wrong = (printed[place] < 128) != (wanted[place] < 128)
        assert wrong.mean() < 0.01  # edges may fall to either side by one pixel, 0.1 mm
    for window in layout.windows:  # nothing but the words to cut away, and the line to cut along
        (x0, y0), _, (x1, y1), _ = (np.array(c) * px_per_mm for c in window.area.corners)
        line = printed[round(y0) - 2 : round(y0) + 3, round(x0) + 5 : round(x1) - 5]
        assert (line.min(axis=0) < 200).all()


def test_the_drawing_library_is_loaded_only_to_draw() -> None:
    code = (
        "import sys, tipvision.bench_card.draw, tipvision.bench_card.raster\n"
        "print([m for m in ('reportlab', 'cv2') if m in sys.modules])\n"
        "tipvision.bench_card.draw.draw_card(__import__('io').BytesIO())\n"
        "print([m for m in ('reportlab', 'cv2') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]", "['reportlab', 'cv2']"]
