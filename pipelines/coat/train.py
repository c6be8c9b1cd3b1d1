"""The training runs of the coat net: on all plugs, and on all but each part of them in turn."""

import copy
import json
import math
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn.functional import binary_cross_entropy_with_logits, log_softmax

from pipelines.coat.crops import matched
from pipelines.coat.encoder import begin_with
from pipelines.coat.export import export
from pipelines.coat.look import worth_of
from pipelines.coat.net import Coat, parted
from pipelines.coat.parts import ALL, PARTS, SEED, part_of
from pipelines.coat.stock import Stock, plain, stocked, varied
from pipelines.condition.rows import NO_PLUG, Table
from pipelines.side_by_side import run_side_by_side
from pipelines.tip_net.net import parameters

BATCH = 256
RATE, DECAY, WARM = 2.5e-3, 0.25, 0.05
EMA = 0.998
FINDINGS_WEIGHT, WET_WEIGHT, LAB_WEIGHT = 1.0, 0.5, 0.5
"""Of the other losses beside the shares' (our estimate)."""

FIRST_LOOK = 256
"""Views by which a net that begins with learnt weights is set."""


@dataclass(frozen=True)
class Run:
    """net: its slow average at the end."""

    net: Coat
    steps: int
    views: int


@dataclass(frozen=True)
class Course:
    """What every run learns from, and how long.

    rows, crops: files of the same rows. onward: the ONNX with whose encoder the nets begin, of the
    fine tip net or an earlier coat net. seconds: of each run; reading does not count. batch: views
    a step.
    """

    rows: tuple[Path, ...]
    crops: tuple[Path, ...]
    onward: Path
    seconds: float
    batch: int = BATCH


def train_all(course: Course, out: Path) -> None:
    """All runs side by side, each in a process of its own; `run_part` says the rest.

    Raises RunFailed when one of them fails; the others run to their end.
    """
    command = ["pipelines.coat", "train", "--out", str(out), "--onward", str(course.onward)]
    command += ["--seconds", str(course.seconds), "--batch", str(course.batch)]
    command += ["--rows", *map(str, course.rows), "--crops", *map(str, course.crops)]
    runs = {f"part {k}": [*command, "--part", str(k)] for k in range(PARTS + 1)}
    run_side_by_side(runs, torch.cuda.device_count())


def run_part(course: Course, out: Path, part: int) -> dict[str, Any]:
    """Train without part `part` and keep what the net tells of the rows held out as
    `out/told-PART.npz`; with `ALL` train on every row and write `out/coat.onnx`.

    Figures of the run are written as `out/told-PART.json` and returned.
    """
    out.mkdir(parents=True, exist_ok=True)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cudnn.benchmark = True
    table, held = matched(course.rows, course.crops)
    stock = stocked(table, held, device)
    parts = part_of(table)
    learnt = np.flatnonzero((table.label != NO_PLUG) & (parts != part))
    run = train(stock, learnt, course, SEED + part)
    figures: dict[str, Any] = {
        "part": part,
        "steps": run.steps,
        "views": run.views,
        "rows": len(learnt),
        "parameters": parameters(run.net),
        "torch": torch.__version__,
        "device": torch.cuda.get_device_name() if device.type == "cuda" else "cpu",
    }
    if part == ALL:
        figures["bytes"] = export(run.net, out).stat().st_size
    else:
        others = np.flatnonzero(parts == part)
        told = told_of(run.net, stock, others)
        np.savez(out / f"told-{part}.npz", rows=others, told=told)
        figures |= held_out_figures(told, table.where(others))
    (out / f"told-{part}.json").write_text(json.dumps(figures, indent=2) + "\n", "utf-8")
    return figures


def train(stock: Stock, rows: NDArray[np.int64], course: Course, seed: int) -> Run:
    """Train on these rows of the stock."""
    device = stock.views.device
    torch.manual_seed(seed)
    net = Coat().to(device)
    index = torch.from_numpy(rows).to(device)
    begin_with(net, course.onward, varied(stock, index[:: max(1, len(index) // FIRST_LOOK)]))
    net = net.to(memory_format=torch.channels_last)
    slow = copy.deepcopy(net).requires_grad_(False).eval()
    weights = [p for p in net.parameters() if p.ndim > 1]
    others = [p for p in net.parameters() if p.ndim <= 1]
    groups = [{"params": weights}, {"params": others, "weight_decay": 0.0}]
    optimiser = torch.optim.AdamW(groups, lr=RATE, weight_decay=DECAY)
    begin, step = time.perf_counter(), 0
    while (share := (time.perf_counter() - begin) / course.seconds) < 1:
        for group in optimiser.param_groups:
            group["lr"] = RATE * min(share / WARM + 0.01, _cosine(share) + 0.003)
        chosen = index[torch.multinomial(stock.weight[index], course.batch, replacement=True)]
        view = varied(stock, chosen).contiguous(memory_format=torch.channels_last)
        with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
            answer = net(view)
        loss = loss_of(answer.float(), stock.of(chosen))
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        step += 1
        kept = 1 - min(EMA, (1 + step) / (10 + step))
        with torch.no_grad():
            torch._foreach_lerp_(_numbers(slow), _numbers(net), kept)
    return Run(slow, step, step * course.batch)


def loss_of(answer: Tensor, truth: Stock) -> Tensor:
    """Cross entropies of shares, findings and wetness, and the Laplace loss of the colour."""
    parts = parted(answer)
    loss = -(truth.shares * log_softmax(parts["shares"], 1)).sum(1).mean()
    each = binary_cross_entropy_with_logits(parts["findings"], truth.findings, reduction="none")
    loss = loss + FINDINGS_WEIGHT * each.sum(1).mean()
    known = ~truth.wet.isnan()
    wet = binary_cross_entropy_with_logits(
        parts["wet"][:, 0], truth.wet.nan_to_num(), reduction="none"
    )
    loss = loss + WET_WEIGHT * (wet * known).sum() / known.sum().clamp(min=1)
    spread = parts["lab_spread"].clamp(-4, 2)
    off = (parts["lab"] - truth.lab).abs()
    return loss + LAB_WEIGHT * (off * torch.exp(-spread) + spread).sum(1).mean()


def told_of(net: Coat, stock: Stock, rows: NDArray[np.int64]) -> NDArray[np.float32]:
    """What the net tells of these rows, (n, sum of TOLD)."""
    shipped = net.shipped()
    out = []
    with torch.no_grad():
        for some in np.array_split(rows, max(1, len(rows) // 512)):
            view = plain(stock, torch.from_numpy(some).to(stock.views.device))
            out.append(shipped(view).float().cpu().numpy())
    return np.concatenate(out)


def held_out_figures(told: NDArray[np.float32], table: Table) -> dict[str, float]:
    """What the told is worth, by name; without rows that count, their number alone."""
    worth = worth_of(told, table)
    if not worth.rows:
        return {"held_out": 0}
    return {
        "held_out": worth.rows,
        "held_out_accuracy": worth.right / worth.rows,
        "held_out_log_loss": worth.loss,
    }


def _cosine(share: float) -> float:
    return 0.5 * (1 + math.cos(math.pi * share))


def _numbers(net: nn.Module) -> list[Tensor]:
    return [v for v in net.state_dict().values() if v.is_floating_point()]
