"""The training run learns, holds plugs out whole, and ships only what is told."""

from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch")

from pipelines.coat.encoder import begin_with  # noqa: E402
from pipelines.coat.net import TAUGHT, TOLD, Coat  # noqa: E402
from pipelines.coat.stock import Stock, plain, relit, varied  # noqa: E402
from pipelines.coat.train import loss_of  # noqa: E402
from pipelines.tip_net.onward import learnt_in  # noqa: E402
from tipvision.measure.coat import TOLD as READ  # noqa: E402
from tipvision.measure.coat_view import CHANNELS, COAT_PX  # noqa: E402
from tipvision.measure.coat_view import PARTS as LABELLED  # noqa: E402

MODELS = Path(__file__).parents[3] / "models"
FINE, COAT = MODELS / "tip" / "fine.onnx", MODELS / "coat" / "newer.onnx"


def stock(rows: int) -> Stock:
    """Noses that are white where they are of the first condition, and black otherwise."""
    rng = np.random.default_rng(5)
    first = rng.random(rows) < 0.5
    views = np.zeros((rows, 3 + len(LABELLED), COAT_PX, COAT_PX), np.uint8)
    views[:, :3] = np.where(first, 220, 20)[:, None, None, None]
    views[:, 3, 40:88, 40:88] = 255
    shares = np.zeros((rows, 6), np.float32)
    shares[np.arange(rows), np.where(first, 0, 1)] = 1
    return Stock(
        torch.from_numpy(views),
        torch.zeros(rows, 3),
        torch.from_numpy(shares),
        torch.zeros(rows, 14),
        torch.full((rows,), torch.nan),
        torch.zeros(rows, 3),
        torch.ones(rows),
    )


def test_a_few_steps_lower_the_loss() -> None:
    torch.manual_seed(0)
    made, net = stock(16), Coat(dropped=0.0)
    optimiser = torch.optim.AdamW(net.parameters(), lr=2e-3)
    index = torch.arange(16)
    losses = []
    for _ in range(6):
        loss = loss_of(net(varied(made, index)), made)
        optimiser.zero_grad()
        loss.backward()
        optimiser.step()
        losses.append(float(loss.detach()))
    assert losses[-1] < 0.8 * losses[0]


def test_what_ships_tells_what_the_tool_reads() -> None:
    torch.manual_seed(0)
    net, made = Coat().eval(), stock(2)
    view = plain(made, torch.arange(2))
    assert view.shape == (2, CHANNELS, COAT_PX, COAT_PX)
    shipped = net.shipped()(view)
    assert sum(TOLD.values()) == READ == shipped.shape[1]
    whole = net(view)
    assert whole.shape[1] == sum(TAUGHT.values())
    torch.testing.assert_close(shipped, whole[:, :READ])


def test_it_begins_with_what_the_fine_net_sees() -> None:
    torch.manual_seed(0)
    pytest.importorskip("onnx")
    made, net = stock(4), Coat()
    before = net.stages[2][4].point[0].weight.clone()
    view = plain(made, torch.arange(4))
    begin_with(net, FINE, view)
    assert not torch.equal(net.stages[2][4].point[0].weight, before)
    assert torch.isfinite(net.train()(view)).all()


def test_it_begins_with_an_earlier_coat_net() -> None:
    pytest.importorskip("onnx")
    torch.manual_seed(0)
    net = Coat()
    view = plain(stock(4), torch.arange(4))
    begin_with(net, COAT, view)
    weights = [weight for weight, _ in learnt_in(COAT)]
    np.testing.assert_array_equal(net.stem[0].weight.detach().numpy(), weights[0])
    last = net.stages[2][4].point[0].weight.detach().numpy()
    assert any(weight.shape == last.shape and (weight == last).all() for weight in weights)


def test_a_guessed_light_is_varied_more_than_a_known_one() -> None:
    torch.manual_seed(0)
    picture = torch.full((400, 3, 2, 2), 0.4)
    picture[:, 0] = 0.5
    known = torch.arange(400) < 200
    seen = relit(picture, known)
    assert (seen >= 0).all() and (seen <= 1).all()
    spread = [float(seen[some].std(0).mean()) for some in (known, ~known)]
    assert 0.005 < spread[0] < 0.7 * spread[1]
