"""Letters are drawn in a font that has them, in the weight asked for, or told as missing."""

import pytest

pytest.importorskip("reportlab")

from tipvision.report.pdf_letters import BOLD, PLAIN, drawn, markup


def test_western_text_stays_in_the_standard_font() -> None:
    for font in (PLAIN, BOLD):
        assert drawn("Söhne – 3 €, 12\u00a0mm", font) == ("Söhne – 3 €, 12\u00a0mm", font)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Мастерская Ωμέγα, Łódź", "Мастерская Ωμέγα, Łódź"),
        ("ΔE ≤ 3, −5 °C", "ΔE ≤ 3, −5 °C"),
        ("火 שמן", "? ???"),  # no letters for one, no way from right to left for the other
        ("Лe\u0301вый\tбок\u200b\u202e", "Лéвый бок"),  # what has no shape leaves no mark
        ("Ω \ud83d", "Ω ?"),  # half a letter
    ],
)
def test_other_letters_come_from_the_wider_font(text: str, shown: str) -> None:
    plain, bold = drawn(text), drawn(text, BOLD)
    assert plain[0] == bold[0] == shown
    assert {PLAIN, BOLD, plain[1], bold[1]} == {PLAIN, BOLD, "DejaVuSans", "DejaVuSans-Bold"}


def test_only_the_words_that_need_it_change_their_font() -> None:
    assert (
        markup("the левый <b>", BOLD) == 'the <font name="DejaVuSans-Bold">левый</font> &lt;b&gt;'
    )
