from hypothesis import given
from hypothesis import strategies as st

from tipvision.report.wrap import columns, printable, wrap

NARROW, WIDE = "abcxyz-é.", "漢字カ"  # one and two terminal columns each
LAID_OUT = st.text(NARROW + WIDE + " \u00a0\n\t", max_size=200)


def columns_by_hand(line: str) -> int:
    return sum(2 if character in WIDE else 1 for character in line)


@given(LAID_OUT, st.integers(12, 60))
def test_no_line_is_too_wide(text: str, width: int) -> None:
    lines = wrap(text, width, "label   - ")
    assert max(columns_by_hand(line) for line in lines) <= width


@given(LAID_OUT, st.integers(12, 60))
def test_nothing_is_lost_and_order_stays(text: str, width: int) -> None:
    joined = "".join(wrap(text, width)).replace(" ", "")
    assert joined == "".join(c for c in text if c in NARROW + WIDE)


def test_words_stay_whole_where_they_fit() -> None:
    assert wrap("aa bb cc dd", 5) == ["aa bb", "cc dd"]
    assert wrap("93\u00a0% sure", 5) == ["93 %", "sure"]


def test_later_lines_stand_under_the_first() -> None:
    assert wrap("one two three", 9, "- ") == ["- one two", "  three"]


@given(st.text(max_size=80))
def test_printable_leaves_nothing_that_steers_a_terminal(text: str) -> None:
    said = printable(text)
    assert not any(ord(c) < 32 or 127 <= ord(c) < 160 or 0xD800 <= ord(c) < 0xE000 for c in said)
    assert len(said) == len(text)


def test_printable_stops_escape_sequences_and_turned_text() -> None:
    assert printable("a\x1b[31mb\u202egpj.exe") == "a?[31mb?gpj.exe"


def test_columns_of_combining_and_wide() -> None:
    assert columns("e\u0301") == 1
    assert columns("漢") == 2
