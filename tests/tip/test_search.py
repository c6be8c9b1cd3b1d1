"""The one way to the firing ends hands back what the finder in use finds."""

from tests.tip.drawn_plug import DrawnPlug, draw_plug
from tipvision.tip.search import search_tips


def test_it_finds_a_drawn_plug() -> None:
    plug = DrawnPlug()
    search = search_tips(draw_plug(plug)[0], plug.size)
    assert len(search.tips) == 1
    assert search.plug_likely > 0.5
