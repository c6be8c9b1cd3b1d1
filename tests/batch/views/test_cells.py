import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.batch.views.made import entry
from tests.report import samples
from tipvision.batch.views.cells import NAMES, cells_of, harmless
from tipvision.batch.views.rows import rows_of

TEXT = st.text(
    st.one_of(st.characters(exclude_categories=()), st.sampled_from("=+-@;'\"\t\r\n＝\ud800"))
)


@given(TEXT, st.booleans())
def test_no_text_can_be_a_formula_or_break_a_line(text: str, is_file: bool) -> None:
    """A cell begins at the start, or where a spreadsheet splits at semicolons or tabs."""
    made = harmless(text, is_file)
    for cell in re.split(r"[;\t]", made):
        assert not cell.startswith(tuple("=+-@＝＋－＠"))
    assert len(made.splitlines()) <= 1
    assert made.encode("utf-8").decode("utf-8") == made
    assert harmless(made, is_file) == made


@pytest.mark.parametrize(
    ("text", "as_file", "as_text"),
    [
        ("=1+1.jpg", "./=1+1.jpg", "'=1+1.jpg"),
        ("@x", "./@x", "'@x"),
        ("a;=1", "a;'=1", "a;'=1"),
        ("TB-07/a=b;c.jpg", "TB-07/a=b;c.jpg", "TB-07/a=b;c.jpg"),
        ("a\nb\udcff", "a\\nb\\udcff", "a\\nb\\udcff"),
        ("Müller 漢字 ½\u00a0+", "Müller 漢字 ½\u00a0+", "Müller 漢字 ½\u00a0+"),
    ],
)
def test_only_what_is_dangerous_changes(text: str, as_file: str, as_text: str) -> None:
    assert (harmless(text, is_file=True), harmless(text)) == (as_file, as_text)


def test_numbers_stay_numbers_below_zero_as_well() -> None:
    reading = samples.replace(samples.READ, measurement=samples.measurement((50.0, -3.25, -0.5)))
    cells = dict(zip(NAMES, cells_of(rows_of(entry("a.jpg", reading))[0]), strict=True))
    assert (cells["lab_a"], cells["lab_b"]) == (-3.25, -0.5)


def test_names_of_files_stay_names_of_files() -> None:
    copy = entry("+b.jpg", machine="=1", state="duplicate", same_as="=a.jpg")
    cells = dict(zip(NAMES, cells_of(rows_of(copy)[0]), strict=True))
    assert (cells["file"], cells["same_as"], cells["machine"]) == ("./+b.jpg", "./=a.jpg", "'=1")
