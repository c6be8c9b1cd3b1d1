"""A report of a photo without a plug says what was looked for and how to go on."""

from dataclasses import replace

import pytest

from tests.report import samples
from tests.report.outline import Outline
from tipvision.report.contents import Shown, contents_of
from tipvision.report.nothing_found import looked_for, retake
from tipvision.report.page import report_page


@pytest.mark.parametrize("reading", [samples.NOT_A_PLUG, samples.NOT_FOUND])
def test_the_page_says_it_beside_the_photo(reading):
    reading = replace(reading, size=samples.SIZE)
    text = Outline(report_page(reading, samples.picture(), None)).text
    for sentence in (*looked_for(reading), *retake(reading)):
        assert sentence in text
    assert "The whole photo" in text
    assert "--tip circle:800,600,80 " in retake(reading)[-1]  # a tenth of 1600 across


@pytest.mark.parametrize("reading", [samples.READ, samples.SEVERAL, samples.UNREADABLE])
def test_it_is_said_of_no_other_photo(reading):
    told = contents_of(Shown(reading))
    assert told.looked_for == told.retake == ()
