import re

import pytest

from tests.report import samples, sets
from tests.report.outline import Outline
from tipvision.record.reading import Reading
from tipvision.report.set_contents import set_contents_of
from tipvision.report.set_page import set_page
from tipvision.report.shop import Shop

HOSTILE = "<img src=x onerror=\"alert('1')\">{{ 7 * 7 }}"


def page(readings: tuple[Reading, ...], shop: Shop | None = None) -> str:
    labels = sets.LABELS[: len(readings)]
    return set_page(set_contents_of(sets.shown(readings), labels, "SX-01"), shop)


@pytest.mark.parametrize("name", samples.ALL)
def test_the_page_stands_alone_whatever_is_in_the_set(name: str) -> None:
    text = page((samples.ALL[name], *sets.ONE_DARK[:3]))
    outline = Outline(text)
    bare = re.sub(r'"data:image/[^"]+"', '""', text)
    for foreign in ("http:", "https:", "file:", "//", "/home", "C:\\", "photos"):
        assert foreign not in bare
    assert not {tag for tag, _ in outline.tags} & {"script", "link", "iframe", "form", "a"}
    ids = [given["id"] for _, given in outline.tags if "id" in given]
    assert len(ids) == len(set(ids))
    assert all(image["alt"] is not None for image in outline.named("img"))


def test_plain_words_come_before_numbers() -> None:
    text = page(sets.ONE_DARK)
    assert text.index("stands apart") < text.index("Plug by plug") < text.index("<details>")
    folded = text[text.index("<details>") : text.index("</details>")]
    assert sets.OWN.text in folded and "L*" in folded
    assert text.count('<article class="odd">') == 1


def test_hostile_names_stay_text() -> None:
    told = set_contents_of(sets.shown(sets.ONE_DARK), (HOSTILE, "b", "c", "d"), HOSTILE)
    text = set_page(told, Shop(HOSTILE))
    assert "<img src=x" not in text
    assert HOSTILE in Outline(text).text
