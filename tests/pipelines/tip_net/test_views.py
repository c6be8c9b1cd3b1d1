"""Training views show what their targets say."""

import json
from dataclasses import replace

import cv2
import pytest

torch = pytest.importorskip("torch")

from pipelines.tip_net import cameras  # noqa: E402
from pipelines.tip_net.photos import load  # noqa: E402
from pipelines.tip_net.views import (  # noqa: E402
    _drawn_ends,
    coarse_views,
    coarse_views_of,
    fine_views,
    fine_views_of,
)
from tests.pipelines.tip_net.made_set import write_set  # noqa: E402


@pytest.fixture(scope="module")
def stock(tmp_path_factory):
    return load([write_set(tmp_path_factory.mktemp("set") / "a")], torch.device("cpu"))


def test_the_stock_knows_where_the_firing_ends_are(stock):
    assert len(stock.pixels) == 6
    assert stock.photo.tolist() == [0, 1, 2, 3]
    assert stock.without.tolist() == [4, 5]
    x, y, size, nose = stock.place[0].tolist()
    part = stock.labels[0] & 7
    assert part[int(y + 15), int(x)] in (1, 4)
    assert nose == 48
    assert size == pytest.approx(73, abs=2)  # from the strap's far end to the nose's: 3 radii


def test_a_plain_coarse_view_has_its_peak_on_the_firing_end(stock):
    views = coarse_views_of(stock, torch.arange(6))
    assert views.plug.tolist() == [1, 1, 1, 1, 0, 0]
    assert views.heat[4:].max() == 0
    for k in range(4):
        x, y, size, _ = stock.place[k].tolist()
        row, column = divmod(int(views.heat[k].argmax()), 48)
        # the photo of 160 × 120 fills 192 × 144 pixels of the view, 24 below its upper edge
        assert (column + 0.5) * 4 == pytest.approx(x * 1.2, abs=3)
        assert (row + 0.5) * 4 == pytest.approx(y * 1.2 + 24, abs=3)
        assert views.size[k, row, column].exp() == pytest.approx(size * 1.2 / 192, rel=0.05)
    assert views.pictures[:, :, :20].abs().max() < 0.02  # mid grey above the photo


def test_a_plain_fine_view_is_red_where_its_parts_say_nose(stock):
    views = fine_views_of(stock, torch.arange(4))
    assert views.here.tolist() == [1] * 4
    nose = views.parts == 1
    assert nose.float().mean() > 0.1
    red = views.pictures[:, 0] > 0.4
    blue = views.pictures[:, 2] < -0.3
    assert (red & blue)[nose].float().mean() > 0.95
    assert (red & blue)[views.parts == 0].float().mean() < 0.05
    assert views.width.exp().tolist() == pytest.approx([0.5] * 4, abs=0.12)  # 48 of 1.3 × 73 px


def test_the_heat_of_an_augmented_view_lies_on_its_firing_end(stock, monkeypatch):
    monkeypatch.setattr("pipelines.tip_net.views.photographed", lambda x, _: x)
    monkeypatch.setattr("pipelines.tip_net.views.covered", lambda _, x, y: (x, y))
    monkeypatch.setattr("pipelines.tip_net.cuts._ground", lambda _, like: like * 0 + 0.5)
    torch.manual_seed(0)
    views = coarse_views(stock, 64)
    red = ((views.pictures[:, 0] > 0.5) & (views.pictures[:, 2] < -0.5)).float()
    sizes = views.size.exp()
    # the plug of these photos is large: views of it are wide ones, or show a part of it
    assert (views.heat > 0.999).flatten(1).any(1).float().mean() > 0.4
    assert sizes[sizes.isfinite()].max() > 2.5 * sizes[sizes.isfinite()].min()
    for k in (views.heat > 0.999).flatten(1).any(1).nonzero()[:, 0].tolist():
        row, column = divmod(int(views.heat[k].argmax()), 48)
        if 4 < row < 44 and 4 < column < 44:
            there = 4 * row, 4 * column
            half = max(4, int(96 * sizes[k, row, column]))
            around = red[k, max(0, there[0] - half) : there[0] + half]
            assert around[:, max(0, there[1] - half) : there[1] + half].sum() > 0.5 * red[k].sum()


def test_what_is_left_of_a_plug_is_neither_found_nor_background(tmp_path):
    """A plug of which next to nothing shows is not in the truth, its pixels are in the mask."""
    folder = write_set(tmp_path / "set", count=2, bare=1)
    lines = (folder / "manifest.jsonl").read_text().splitlines()
    first = json.loads(lines[0]) | {"plugs": []}
    (folder / "manifest.jsonl").write_text("\n".join([json.dumps(first), *lines[1:]]) + "\n")
    path = folder / "masks" / "1.png"
    mask = cv2.imread(str(path), cv2.IMREAD_UNCHANGED)
    mask[mask == 6] = 8 + 5  # the shell stands in for the strap of a plug behind
    cv2.imwrite(str(path), mask)
    stock = load([folder], torch.device("cpu"))
    assert stock.photo.tolist() == [1]
    assert stock.without.tolist() == [2]
    views = coarse_views_of(stock, torch.arange(3))
    assert views.plug[0].isnan()
    assert views.plug[1:].tolist() == [1, 0]
    assert views.heat[0].max() == 0
    assert not views.counts[0, 23:25, 23:25].any()
    assert views.counts[0, :, 0].all()
    assert views.counts[2].all()
    fine = fine_views_of(stock, torch.tensor([0]))
    assert (fine.parts == -1).any()
    assert not (fine.parts == 6).any()
    assert fine.here.tolist() == [1]


def test_small_noses_are_drawn_less_often_than_readable_ones(stock):
    place = stock.place.clone()
    place[:, 3] = torch.tensor([70.0, 30.0, 30.0, 5.0])
    torch.manual_seed(0)
    drawn = _drawn_ends(replace(stock, place=place), 4000)
    share = drawn.bincount(minlength=4) / 4000
    # 0.45, 0.42 and 0.02 of what is there
    assert share.tolist() == pytest.approx([0.506, 0.236, 0.236, 0.022], abs=0.03)


def test_augmented_views_keep_picture_and_parts_together(stock, monkeypatch):
    monkeypatch.setattr("pipelines.tip_net.views.photographed", lambda x, _: x)
    torch.manual_seed(0)
    views = fine_views(stock, 48)
    red = (views.pictures[:, 0] > 0.5) & (views.pictures[:, 2] < -0.5)
    here = views.here == 1
    assert 20 < int(here.sum()) < 48
    nose = (views.parts == 1) & here[:, None, None]
    assert red[nose].float().mean() > 0.9
    assert (views.view[here] == 0).all()
    assert (views.parts[views.here == 0] == 0).all()


def test_augmentation_repeats_with_its_seed_and_stays_in_range(stock):
    pictures = []
    for _ in range(2):
        torch.manual_seed(3)
        pictures.append(coarse_views(stock, 8).pictures)
    assert torch.equal(*pictures)
    assert pictures[0].abs().max() <= 1


@pytest.mark.parametrize("name", ["toned", "blurred", "noisy", "sharpened", "jpeg"])
def test_a_camera_step_changes_pictures_but_not_beyond_recognition(name):
    torch.manual_seed(0)
    smooth = torch.nn.functional.interpolate(torch.rand(16, 3, 6, 6), size=(96, 96))
    out = getattr(cameras, name)(smooth)
    assert out.shape == smooth.shape
    assert out.isfinite().all()
    change = (out - smooth).abs().mean((1, 2, 3))
    assert change.max() > 0.003
    assert change.median() < 0.3


def test_a_blur_is_the_gaussian_that_it_says(monkeypatch):
    wide = torch.full((1, 1, 1, 1), 2.0)
    drawn = iter([wide.log(), torch.ones(1, 1, 1, 1), torch.zeros(1, 1, 1, 1)])
    monkeypatch.setattr(cameras, "drawn", lambda *_: next(drawn))
    monkeypatch.setattr(cameras, "some", lambda *_: wide < 0)
    spot = torch.zeros(1, 3, 65, 65)
    spot[..., 32, 32] = 1
    out = cameras.blurred(spot)[0, 0]
    at = torch.arange(65.0) - 32
    assert out.sum() == pytest.approx(1, abs=1e-4)
    assert (out.sum(0) @ at**2).sqrt() == pytest.approx(2.0, abs=0.01)
    assert (out.sum(1) @ at**2).sqrt() == pytest.approx(2.0, abs=0.01)


def test_a_fine_jpeg_is_nearly_its_picture(monkeypatch):
    best = torch.full((4, 1, 1, 1), 95.0)
    monkeypatch.setattr(cameras, "drawn", lambda *_: best)
    monkeypatch.setattr(cameras, "some", lambda *_: best > 0)
    grey = torch.nn.functional.interpolate(torch.rand(4, 1, 8, 8), size=(64, 64), mode="bilinear")
    assert (cameras.jpeg(grey.expand(-1, 3, -1, -1)) - grey).abs().mean() < 0.01
