"""The printed reports: sheets of A4 with the words of the page on them."""

import io
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from tests.report import samples, sets
from tipvision import __version__
from tipvision.causes.explanation import Check, Engine, Sentence
from tipvision.record.reading import Reading
from tipvision.report.contents import MOST_CAUSES, Shown, contents_of
from tipvision.report.engine_words import engine_words
from tipvision.report.pdf_style import MM
from tipvision.report.plug_pdf import plug_pdf
from tipvision.report.set_contents import set_contents_of
from tipvision.report.set_pdf import set_pdf
from tipvision.report.shop import Shop


def plug(reading: Reading, shop: Shop | None = None) -> bytes:
    return plug_pdf(contents_of(Shown(reading, samples.picture(), "12 May 2026")), shop)


def pages(pdf: bytes) -> list[pypdf.PageObject]:
    return list(pypdf.PdfReader(io.BytesIO(pdf)).pages)


def text(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in pages(pdf)).split())


@pytest.mark.parametrize("name", samples.ALL)
def test_every_reading_becomes_sheets_of_a4(name: str) -> None:
    pdf = plug(samples.ALL[name])
    assert len(pages(pdf)) == 1
    for page in pages(pdf):  # ISO 216: A4 is 210 mm by 297 mm
        assert float(page.mediabox.width) == pytest.approx(210 * MM, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(297 * MM, abs=0.01)
    said = text(pdf)
    assert contents_of(Shown(samples.ALL[name])).answer.headline in said
    assert "/home" not in said and "C:" not in said


def test_it_says_what_the_page_says() -> None:
    said = text(plug(samples.READ))
    assert "Larch Hollow Trail Hire" in said and "TB-07 left.jpg" in said
    assert "Dry black" in said and "carbon fouled" in said and "93 %" in said
    assert samples.READ.explanation is not None
    explanation = samples.READ.explanation
    for piece in (*explanation.cautions, *explanation.advice, *explanation.causes[:MOST_CAUSES]):
        assert piece.text in said
    assert "(cautions 2 and 3)" in said and "this nose: L* 18 to 26" in said
    assert "What the tool could not see".upper() in said
    # figures come after the words
    assert said.index("WHAT THE TOOL COULD NOT SEE") < said.index("THE NUMBERS BEHIND THIS")


def test_its_metadata_say_what_made_it() -> None:
    found = pypdf.PdfReader(io.BytesIO(plug(samples.READ))).metadata
    assert found is not None and found.creator == f"tipvision {__version__}"
    assert found.author == Shop().name


def test_the_head_says_which_engine_and_the_causes_what_was_told() -> None:
    beside = engine_words(Engine(name="TB-07", stroke="two"), {"spark_test": "weak"})
    alone = contents_of(Shown(samples.READ, None, "12 May 2026"), engine=beside)
    several = set_contents_of(sets.shown(sets.ONE_DARK), sets.LABELS, "TB-07", beside)
    for said in (text(plug_pdf(alone)), text(set_pdf(several))):
        assert beside.line in said and beside.facts in said
        assert said.index(beside.line) < said.index("CAUSES") < said.index(beside.facts)


def test_the_same_bytes_every_time() -> None:
    assert plug(samples.UNCLEAR) == plug(samples.UNCLEAR)


def test_four_plugs_fit_on_two_sheets() -> None:
    for readings in (sets.ONE_DARK, sets.ALL_DARK):
        told = set_contents_of(sets.shown(readings), sets.LABELS, "SX-01")
        pdf = set_pdf(told)
        assert len(pages(pdf)) <= 2
        said = text(pdf)
        for label in sets.LABELS:
            assert label.capitalize() in said
        assert told.compared[0] in said
        contents = pages(pdf)[0].get_contents()
        assert contents is not None
        assert [operator for _, operator in contents.operations].count(b"Do") == 4  # photos


def test_many_plugs_run_on_to_more_sheets_and_nothing_is_lost() -> None:
    readings = sets.ALL_DARK * 4
    labels = [f"cylinder {n}" for n in range(1, 17)]
    told = set_contents_of([Shown(reading) for reading in readings], labels, "SX-01")
    pdf = set_pdf(told)
    said = text(pdf)
    assert 2 < len(pages(pdf)) < 9
    for label in labels:  # on its card, on the axis and under what decided
        assert len(re.findall(rf"{label}\b", said, re.IGNORECASE)) >= 3


def test_a_very_long_text_is_cut_into_sheets_not_lost() -> None:
    assert samples.READ.explanation is not None
    long = Sentence("long", "word " * 4000 + "end")
    told = replace(samples.READ.explanation, advice=(long,))
    pdf = plug(replace(samples.READ, explanation=told))
    assert len(pages(pdf)) > 2 and "word end" in text(pdf)


def test_markup_and_strange_letters_stay_text() -> None:
    reading = replace(samples.READ, photo="<b>Łódź & 火.jpg")
    said = text(plug(reading, Shop("<para>Söhne & Łoś")))
    assert "<b>Łódź & ?.jpg" in said and "<para>Söhne & Łoś" in said


def test_the_shops_logo_stands_in_the_head() -> None:
    buffer = io.BytesIO()
    Image.new("RGB", (300, 100), (10, 20, 30)).save(buffer, "PNG")
    bare, own = plug(samples.NOT_A_PLUG), plug(samples.NOT_A_PLUG, Shop("X", buffer.getvalue()))
    assert len(list(pages(own)[0].images)) == len(list(pages(bare)[0].images)) + 1


def test_it_is_grey_apart_from_what_was_measured() -> None:
    """No traffic light: ink, greys, and the colours of bands and nose only."""
    colours = set()
    for page in pages(plug(samples.ONLY_FINDINGS)):
        contents = page.get_contents()
        assert contents is not None
        colours |= {
            tuple(map(float, operands))
            for operands, operator in contents.operations
            if operator in (b"rg", b"RG")
        }
    assert colours
    for red, green, blue in colours:
        warm = red - blue  # tan and brown are warm; no red, amber or green stands among them
        assert abs(red - green) < 0.15 and -0.12 < warm < 0.25


def test_reportlab_is_loaded_only_when_a_pdf_is_made() -> None:
    code = "import sys, tipvision.command.report; sys.exit('reportlab' in sys.modules)"
    root = Path(__file__).parents[2]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


@pytest.mark.parametrize("checks", [samples.EXPLANATION.checks, ()])
def test_no_heading_stands_on_another(checks: tuple[Check, ...]) -> None:
    short = replace(samples.EXPLANATION, checks=checks, causes=samples.EXPLANATION.causes[:1])
    (page,) = pages(plug(replace(samples.READ, explanation=short)))
    heights: dict[str, float] = {}

    def seen(text: str, placed: list[float], at: list[float], *_: object) -> None:
        if text.strip() in ("CAUSES", "ADVICE", "WHAT THE TOOL COULD NOT SEE"):
            heights[text.strip()] = placed[5] + placed[3] * at[5]

    page.extract_text(visitor_text=seen)
    causes, advice, unseen = heights.values()
    assert causes > advice + 20 > unseen + 40
