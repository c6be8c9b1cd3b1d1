"""What a station knows of a photo reaches the station that needs it."""

from dataclasses import replace

import pytest

from tipvision.condition.model import Model, default_model
from tipvision.light.said import Said
from tipvision.reading import Ask, read
from tipvision.shipped import demo_folder
from tipvision.tip.outline import parse_outline

SHIPPED = default_model()
OPEN_TO_ALL: Model = replace(
    SHIPPED,
    least=dict.fromkeys(SHIPPED.least, 0.0),  # every label is always possible
    known=replace(SHIPPED.known, farthest=float("inf")),
)


@pytest.mark.parametrize(("photo", "known"), [("gn-02-a.jpg", True), ("bench-tray.jpg", False)])
def test_the_remedy_asks_for_a_chart_only_where_none_told_the_light(photo, known) -> None:
    path = str(demo_folder() / photo)
    for told in (Said(), Said(declared="4000K")):
        asked = Ask(light=told, outline=None if known else parse_outline("circle:300,300,40"))
        (reading,) = read(path, asked, OPEN_TO_ALL)
        assert reading.light is not None
        assert (reading.light.source == "bench_card") is known
        (open_,) = [reason for reason in reading.reasons if reason.code == "undecided"]
        assert ("chart" not in open_.remedy) is known
        assert ("outline" in open_.remedy) is known  # the other was outlined by hand
