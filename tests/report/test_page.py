import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from tests.report import samples
from tests.report.outline import Outline
from tipvision import __version__
from tipvision.causes.explanation import Cause, Check, Engine, Explanation, Sentence, Verdict
from tipvision.condition.evidence import Evidence, Sign
from tipvision.measure.bands import load_bands
from tipvision.record.reading import Reading
from tipvision.record.reason import Reason
from tipvision.report.contents import MOST_CAUSES, Shown, contents_of
from tipvision.report.engine_words import engine_words
from tipvision.report.page import plug_page, report_page, unbroken_options, write_report

EVERY = pytest.mark.parametrize("name", samples.ALL)
HOSTILE = "<img src=x onerror=\"alert('1')\">&amp;{{ 7 * 7 }}</style><script>"


def page_of(reading: Reading, pictured: bool = True) -> str:
    return report_page(reading, samples.picture() if pictured else None, "12 May 2026")


@EVERY
@pytest.mark.parametrize("pictured", [True, False])
def test_the_page_stands_alone(name: str, pictured: bool) -> None:
    page = page_of(samples.ALL[name], pictured)
    outline = Outline(page)
    without_pictures = re.sub(r'"data:image/jpeg;base64,[^"]+"', '""', page)
    for foreign in ("http:", "https:", "file:", "//", "@import", "/home", "C:\\", "photos"):
        assert foreign not in without_pictures
    tags = {tag for tag, _ in outline.tags}
    assert not tags & {"script", "link", "iframe", "object", "form", "use", "a", "base"}
    for tag, attributes in outline.tags:
        assert not [key for key in attributes if key.startswith("on") or key == "xlink:href"]
        assert set(re.findall(r"url\(([^)]*)\)", " ".join(filter(None, attributes.values())))) <= {
            f"#{given['id']}" for _, given in outline.tags if given.get("id")
        }, tag
    for image in outline.named("img"):
        assert (image["src"] or "").startswith("data:image/jpeg;base64,")


@EVERY
def test_the_page_can_be_read_aloud(name: str) -> None:
    outline = Outline(page_of(samples.ALL[name]))
    assert outline.named("html")[0]["lang"] == "en"
    levels = [int(tag[1]) for tag, _ in outline.tags if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert all(image["alt"] for image in outline.named("img"))
    assert all(
        s.get("aria-hidden") == "true" or s.get("role") == "img" for s in outline.named("svg")
    )
    ids = [given["id"] for _, given in outline.tags if "id" in given]
    assert len(ids) == len(set(ids))
    pointed = " ".join(
        v["aria-labelledby"] or "" for _, v in outline.tags if "aria-labelledby" in v
    )
    assert set(pointed.split()) <= set(ids)


def test_a_reading_is_told_in_full() -> None:
    text = Outline(page_of(samples.READ)).text.replace("\u00a0", " ")
    assert "Firing-end report" in text and "TB-07 left.jpg" in text and "taken 12 May 2026" in text
    assert "Dry black carbon fouled · sure: 93 %" in text
    assert "Replace it" in text and "Check first, as below" in text
    assert "this nose: L* 18 to 26" in text
    assert samples.READ.condition is not None
    for sentence in samples.READ.condition.evidence.sentences():
        assert sentence in text
    explanation = samples.EXPLANATION
    assert all(cause.text in text for cause in explanation.causes[:MOST_CAUSES])
    assert f"and {len(explanation.causes) - MOST_CAUSES} more" in text
    for number, caution in enumerate(explanation.cautions, 1):
        assert f"{number} {caution.text}" in text
    assert all(piece.text in text for piece in explanation.advice)
    assert "(cautions 2 and 3)" in text
    assert "bench card" in text and "4100 K" in text and "in doubt by ±" in text
    assert (
        "Model default 1" in text
        and "record schema 1" in text
        and f"tipvision {__version__}" in text
    )


def test_the_head_says_which_engine_and_the_causes_what_was_told() -> None:
    beside = engine_words(Engine(name="TB-07", stroke="two"), {"spark_test": "weak"})
    page = plug_page(contents_of(Shown(samples.READ), engine=beside))
    assert page.index(beside.line) < page.index("</header>")
    assert page.index(">Causes<") < page.index(beside.facts) < page.index(">Next checks<")


def test_the_axis_scales_with_the_page() -> None:
    """Nothing gives it a width of its own, so a narrow window does not cut it."""
    page = page_of(samples.READ)
    rules = re.findall(r"\.axis \{([^}]*)\}", page)
    assert rules and not any("min-width" in rule for rule in rules)
    assert all(
        "width" not in drawing for drawing in Outline(page).named("svg") if "role" in drawing
    )


def test_every_band_stands_on_the_axis_with_a_pattern_that_exists() -> None:
    page = page_of(samples.READ)
    outline = Outline(page)
    patterns = {pattern["id"] for pattern in outline.named("pattern")}
    for band in load_bands():
        ids = {f"{band.pattern.replace(' ', '-')}-{ink}" for ink in ("light", "dark")}
        assert ids <= patterns
        assert any(f'fill="url(#{name})"' in page for name in ids)


def test_only_what_the_photo_allows_is_filled() -> None:
    page = page_of(samples.UNCLEAR)
    answers = page[page.index('<table class="answers">') :].partition("</table>")[0]
    rows = re.findall(
        r"<tr( class=\"in\")?><th[^>]*>([^<]+)</th>.*?fill=\"(#\w+)\" stroke", answers, re.S
    )
    assert [(title, bool(allowed), fill) for allowed, title, fill in rows] == [
        ("Dry black", True, "#16242c"),
        ("Wet black", True, "#16242c"),
        ("No condition", False, "#ffffff"),
    ]


def test_do_not_start_stands_out_without_colour() -> None:
    assert 'class="stop"' in page_of(samples.ONLY_FINDINGS)
    assert 'class="stop"' not in page_of(samples.READ)
    assert "Do not start or crank it" in page_of(samples.ONLY_FINDINGS)


@pytest.mark.parametrize("reason", samples.REASONS, ids=lambda reason: reason.code)
def test_every_reason_is_told_with_its_remedy(reason: Reason) -> None:
    text = Outline(page_of(Reading("a.jpg", "unclear", (reason,)))).text
    assert reason.text in text and reason.remedy in text


def test_hostile_text_stays_text() -> None:
    explanation = Explanation(
        (Cause("a", HOSTILE, 1.0, "likely"),),
        (Check("a", HOSTILE, 1),),
        (Sentence("a", HOSTILE),),
        (Sentence("a", HOSTILE),),
        Verdict("check", "check"),
    )
    assert samples.READ.condition is not None
    reading = replace(
        samples.READ,
        photo="folder/" + HOSTILE.replace("/", ""),
        reasons=(Reason("blurred", HOSTILE, HOSTILE),),
        light=replace(samples.LIGHT, source=f"stored:{HOSTILE}"),
        condition=replace(
            samples.READ.condition,
            evidence=Evidence("a", "b", (Sign(HOSTILE, 1.0),), 0.0, 0.0, 1.0),
        ),
        explanation=explanation,
        model={"name": HOSTILE, "version": HOSTILE},
    )
    page = report_page(reading, samples.picture(), HOSTILE)
    assert "<script" not in page and "<img src=x" not in page and page.count("</style>") == 1
    outline = Outline(page)
    assert not any("onerror" in attributes for _, attributes in outline.tags)
    assert outline.text.count(HOSTILE) == 13
    assert "49" not in outline.text


def test_ink_can_be_read_on_paper() -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5 : 1 for text; no hue of a traffic light."""
    page = page_of(samples.READ)
    inks = dict(re.findall(r"--(ink|soft): (#\w{6})", page))
    assert set(inks) == {"ink", "soft"}
    for code in inks.values():
        channels = [int(code[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        luminance = sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
        assert 1.05 / (luminance + 0.05) >= 4.5
        assert max(channels) - min(channels) < 0.12


def test_a_report_is_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    write_report(samples.READ, samples.picture(), path, "12 May 2026")
    assert path.read_text("utf-8") == page_of(samples.READ)
    assert list(tmp_path.iterdir()) == [path]


def test_a_report_that_fails_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "report.html"
    path.write_text("old", "utf-8")

    def no_room(*_: object) -> None:
        raise OSError("no room")

    monkeypatch.setattr(Path, "replace", no_room)
    with pytest.raises(OSError, match="no room"):
        write_report(samples.READ, None, path)
    assert path.read_text("utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        write_report(samples.READ, None, tmp_path / "nowhere" / "report.html")


def test_jinja_is_loaded_only_when_a_page_is_made() -> None:
    code = "import sys, tipvision.report.page; sys.exit('jinja2' in sys.modules)"
    root = Path(__file__).parents[2]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


def test_an_option_to_type_stays_on_one_line_and_text_stays_text() -> None:
    told = unbroken_options("with <b> --plug all & so.")
    assert told == 'with &lt;b&gt; <span class="option">--plug</span> all &amp; so.'
    page = page_of(samples.ALL["several"])
    assert '<span class="option">--plug</span>' in page
