"""The losses fall towards the truth, and the figures count as they say."""

import math

import pytest

torch = pytest.importorskip("torch")

from pipelines.tip_net.losses import (  # noqa: E402
    FOUND,
    coarse_loss,
    fine_loss,
    found_counts,
    nose_overlap,
)
from pipelines.tip_net.net import in_pixels  # noqa: E402
from pipelines.tip_net.views import UNKNOWN, CoarseViews, FineViews  # noqa: E402
from tipvision.tip import net as running  # noqa: E402


def coarse() -> CoarseViews:
    heat = torch.zeros(2, 48, 48)
    heat[0, 20, 30] = 1
    size = torch.full_like(heat, torch.nan)
    size[0, 20, 30] = math.log(0.2)
    counts = torch.ones_like(heat, dtype=torch.bool)
    return CoarseViews(torch.zeros(2, 3, 192, 192), heat, counts, size, torch.tensor([1.0, 0.0]))


def maps(row: int, column: int, size: float) -> torch.Tensor:
    out = torch.full((2, 2, 48, 48), -6.0)
    out[0, 0, row, column] = 6
    out[:, 1] = math.log(size)
    return out


def test_the_coarse_loss_is_least_at_the_truth():
    plug = torch.tensor([[5.0], [-5.0]])
    right = coarse_loss(maps(20, 30, 0.2), plug, coarse())
    assert right < coarse_loss(maps(10, 30, 0.2), plug, coarse())
    assert right < coarse_loss(maps(20, 30, 0.3), plug, coarse())
    assert right < coarse_loss(maps(20, 30, 0.2), -plug, coarse())
    assert right < 0.1


def counted(seen: torch.Tensor, least: float = 0.5) -> dict[str, int]:
    return dict(zip(FOUND, found_counts(seen, coarse(), least).tolist(), strict=True))


@pytest.mark.parametrize(
    ("row", "column", "size", "hits"),
    [(20, 30, 0.2, 1), (22, 31, 0.25, 1), (40, 30, 0.2, 0), (20, 30, 0.5, 0)],
)
def test_a_hit_is_near_and_of_about_the_right_size(row, column, size, hits):
    told = counted(maps(row, column, size))
    assert told == {"hits": hits, "there": 1, "first": hits, "with_any": 1, "false": 0, "bare": 1}


def test_a_low_peak_in_the_right_place_is_first_but_not_found():
    seen = maps(20, 30, 0.2)
    seen[0, 0, 20, 30] = -2
    told = counted(seen)
    assert (told["hits"], told["first"]) == (0, 1)
    assert counted(seen, least=0.1)["hits"] == 1
    seen[0, 0, 2, 2] = -1  # a higher one elsewhere
    assert counted(seen, least=0.1)["first"] == 0


def test_a_peak_in_a_photo_without_a_plug_is_false():
    seen = maps(20, 30, 0.2)
    seen[1, 0, 5, 5] = 6
    assert counted(seen)["false"] == 1


def test_cells_that_are_not_judged_cost_nothing():
    views = coarse()
    plug = torch.tensor([[5.0], [-5.0]])
    right = coarse_loss(maps(20, 30, 0.2), plug, views)
    seen = maps(20, 30, 0.2)
    seen[1, 0, 5, 5] = 6
    assert coarse_loss(seen, plug, views) > right + 1
    views.counts[1, 5, 5] = False
    assert coarse_loss(seen, plug, views) < right + 0.01


def test_overlap_counts_glare_as_nose_and_leaves_out_the_deep_nose():
    truth = torch.zeros(1, 4, 4, dtype=torch.int64)
    truth[0, 0] = torch.tensor([1, 1, 2, 3])
    found = torch.zeros(1, 4, 4, dtype=torch.int64)
    found[0, 0] = torch.tensor([2, 0, 1, 1])
    found[0, 1, 0] = 1
    logits = torch.nn.functional.one_hot(found, 8).permute(0, 3, 1, 2).float()
    assert nose_overlap(logits, truth).tolist() == pytest.approx([2 / 4])


def in_cells(pixels: torch.Tensor) -> torch.Tensor:
    """Logits of pixels as the fine net gives them: each cell those of its four pixels."""
    n, classes, rows, columns = pixels.shape
    split = pixels.view(n, classes, rows // 2, 2, columns // 2, 2).permute(0, 3, 5, 1, 2, 4)
    return split.reshape(n, 4 * classes, rows // 2, columns // 2)


def test_training_and_tipvision_take_cells_apart_alike():
    cells = in_cells(torch.rand(1, 8, 192, 192))
    pixels = in_pixels(cells)[0]
    assert (in_cells(pixels[None]) == cells).all()
    assert (running.in_pixels(cells[0].numpy()) == pixels.permute(1, 2, 0).numpy()).all()


def test_the_fine_loss_falls_towards_the_truth_and_ignores_the_unknown():
    torch.manual_seed(0)
    parts = torch.zeros(3, 192, 192, dtype=torch.int64)
    parts[0, 50:150, 50:150] = 1
    views = FineViews(
        torch.zeros(3, 3, 192, 192),
        parts,
        torch.tensor([1.0, 0.0, torch.nan]),
        torch.tensor([math.log(0.4), torch.nan, torch.nan]),
        torch.tensor([2, -1, -1]),
    )
    right = 12 * torch.nn.functional.one_hot(parts, 8).permute(0, 3, 1, 2).float()
    told = torch.tensor([[6, 4, math.log(0.4), -4, -4, 6], [-6, 0, 0, 0, 0, 0], [0] * 6]).float()
    best = fine_loss(in_cells(right), told, views)
    assert best < 0.05
    assert best < fine_loss(in_cells(right), -told, views)
    assert best < fine_loss(in_cells(torch.zeros_like(right)), told, views)
    other = right.clone()
    other[2] = torch.randn_like(other[2])
    assert fine_loss(in_cells(other), told, views) == best
    views.parts[1, :40] = UNKNOWN
    best = fine_loss(in_cells(other), told, views)
    other[1, 1, :40] = 20  # nose where nobody knows
    assert fine_loss(in_cells(other), told, views) == best
    other[1, 1, 40:80] = 20  # and where there is none
    assert fine_loss(in_cells(other), told, views) > best + 0.5
