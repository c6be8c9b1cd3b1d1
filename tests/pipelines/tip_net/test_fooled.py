"""What fools a net is found, and never a real firing end."""

import pytest

torch = pytest.importorskip("torch")

from pipelines.tip_net import fooled  # noqa: E402
from pipelines.tip_net.cuts import plain  # noqa: E402
from pipelines.tip_net.photos import load  # noqa: E402
from pipelines.tip_net.views import fine_views, shows_a_firing_end  # noqa: E402
from tests.pipelines.tip_net.made_set import write_set  # noqa: E402


class Bright(torch.nn.Module):
    """Takes for a firing end what is bright."""

    def forward(self, x: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        return x, x.mean((1, 2, 3))[:, None]


@pytest.fixture(scope="module")
def stock(tmp_path_factory):
    return load([write_set(tmp_path_factory.mktemp("set") / "a")], torch.device("cpu"))


def sure(answer):
    return answer[1][:, 0]


def brightness(stock, squares):
    pictures, labels = plain(stock, squares, 64)
    assert not shows_a_firing_end(labels).any()
    return pictures.mean((1, 2, 3))


def test_the_brightest_squares_without_a_firing_end_are_kept_and_get_brighter(stock, monkeypatch):
    monkeypatch.setattr(fooled, "TRIED", 96)
    monkeypatch.setattr(fooled, "KEPT", 12)
    torch.manual_seed(0)
    first = fooled.fooled_by(Bright(), sure, stock, 64, None)
    assert len(first) == 12
    second = fooled.fooled_by(Bright(), sure, stock, 64, first)
    assert brightness(stock, second).min() >= brightness(stock, first).min()
    others = fooled.bare_squares(stock, 400)
    bare = ~shows_a_firing_end(plain(stock, others, 64)[1])
    assert brightness(stock, second).min() > brightness(stock, others.of(bare)).median()


def test_views_of_them_say_that_nothing_is_there(stock, monkeypatch):
    monkeypatch.setattr("pipelines.tip_net.views.FOOLED", (1.0, 1.0))
    monkeypatch.setattr("pipelines.tip_net.views.BARE", 1.0)
    bare = fooled.Squares(torch.tensor([4, 5]), torch.full((2, 2), 60.0), torch.full((2,), 80.0))
    views = fine_views(stock, 16, bare)
    assert (views.here == 0).all()
    assert (views.parts == 0).all()
    assert (views.view == -1).all()
