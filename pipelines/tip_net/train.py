"""The training run of one net until its time is spent, then its file; both nets run side by side.

The nets share nothing but the photos: each has its own process, its own GPU where there are two,
checkpoint, file and figures.
"""

import copy
import json
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import torch
from torch import Tensor, nn

from pipelines.side_by_side import run_side_by_side
from pipelines.tip_net import checkpoint
from pipelines.tip_net.cuts import Squares
from pipelines.tip_net.export import export
from pipelines.tip_net.fooled import fooled_by
from pipelines.tip_net.losses import coarse_loss, fine_loss
from pipelines.tip_net.net import Coarse, Fine, parameters
from pipelines.tip_net.onward import begin_with
from pipelines.tip_net.photos import Stock, load
from pipelines.tip_net.tune import coarse_figures, fine_figures
from pipelines.tip_net.views import coarse_views, fine_views
from tipvision.tip.net import COARSE_PX, FINE_PX

SEED = 20_261
RATE, RATE_ONWARD = 3e-3, 2e-3
"""Of a new net, and of one that learns on from where another run ended (our estimate)."""

DECAY = 0.02
WARM_SHARE = 0.04
"""Of the time, in which the rate rises."""

EMA = 0.999
LOOK_EVERY_S = 40.0

FIRST_VIEWS = 64
"""Views on which the layers of an earlier net are made to answer as they did in it."""

FIRST_FOOLED, FOOLED_EVERY = 500, 150
"""Steps before squares that fool the net are looked for, and between two looks."""


@dataclass(frozen=True)
class Lesson:
    """What one net learns from.

    `sure` says of the net's answer how sure it is of a firing end, (n,), logit; `out` is the side
    of its views. `figures` judges it on the tuning photos; its `score` picks.
    """

    net: Callable[[], nn.Module]
    views: Callable[[Stock, int, Squares | None], Any]
    loss: Callable[[Tensor, Tensor, Any], Tensor]
    sure: Callable[[tuple[Tensor, Tensor]], Tensor]
    out: int
    figures: Callable[[nn.Module, Stock], dict[str, Any]]


def _peak(answer: tuple[Tensor, Tensor]) -> Tensor:
    return answer[0][:, 0].flatten(1).amax(1)


def _here(answer: tuple[Tensor, Tensor]) -> Tensor:
    return answer[1][:, 0]


LESSONS = {
    "coarse": Lesson(Coarse, coarse_views, coarse_loss, _peak, COARSE_PX, coarse_figures),
    "fine": Lesson(Fine, fine_views, fine_loss, _here, FINE_PX, fine_figures),
}


def train_all(
    photos: Sequence[Path],
    tune: Sequence[Path],
    out: Path,
    seconds: float,
    batch: int,
    onward: Path | None = None,
) -> None:
    """Train both nets at the same time, each in a process of its own; `train` says the rest.

    Raises RunFailed when one of them fails; the other runs to its end.
    """
    runs = {}
    for name in LESSONS:
        command = ["pipelines.tip_net", "train", "--only", name]
        command += ["--photos", *map(str, photos), "--tune", *map(str, tune), "--out", str(out)]
        command += ["--seconds", str(seconds), "--batch", str(batch)]
        command += [] if onward is None else ["--onward", str(onward)]
        runs[name] = command
    run_side_by_side(runs, torch.cuda.device_count())


def train(
    name: str,
    photos: Sequence[Path],
    tune: Sequence[Path],
    out: Path,
    seconds: float,
    batch: int,
    onward: Path | None = None,
) -> dict[str, Any]:
    """Train the net of that name for `seconds` in all, over every call with the same `out`.

    onward: a folder with the file of an earlier net, whose weights this one begins with.

    Writes `out/NAME.onnx` and its figures, `out/NAME.json`, which are also returned. Reading the
    photos does not count. Raises SetFault for a set of photos that does not hold.
    """
    out.mkdir(parents=True, exist_ok=True)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cudnn.benchmark = True
    lesson, stored = LESSONS[name], out / f"{name}.npz"
    torch.manual_seed(SEED)
    net = lesson.net()
    most = RATE if onward is None else RATE_ONWARD
    begin = time.perf_counter()
    learn, check = load(photos, device), load(tune, device)
    net = net.to(device)
    if onward is not None:
        begin_with(net, onward / f"{name}.onnx", lesson.views(learn, FIRST_VIEWS, None).pictures)
    learner = Learner.of(net, device)
    step, spent = _resumed(stored, learner, device)
    torch.manual_seed(SEED + step)
    print(
        f"{name}: {len(learn.pixels)} photos with {len(learn.photo)} firing ends, "
        f"{len(check.pixels)} to tune on; read in {time.perf_counter() - begin:.0f} s; "
        f"from step {step}",
        flush=True,
    )
    begin = time.perf_counter() - spent
    looked, last = time.perf_counter(), step
    fooled: Squares | None = None
    while (passed := time.perf_counter() - begin) < seconds:
        share = passed / seconds
        rate = most * min(1.0, 0.01 + share / WARM_SHARE, 0.01 + _cosine(share))
        if step >= FIRST_FOOLED and (fooled is None or step % FOOLED_EVERY == 0):
            fooled = fooled_by(learner.slow, lesson.sure, learn, lesson.out, fooled)
        views = lesson.views(learn, batch, fooled)
        loss = _one_step(learner, lesson, views, rate, step)
        step += 1
        since = time.perf_counter() - looked
        if since > LOOK_EVERY_S:
            speed, value = (step - last) / since, float(loss)
            figures = _judged(learner, lesson, check)
            told = f"{name}: step {step}, {passed:.0f} s, {speed:.1f} steps/s, loss {value:.3f}"
            print(f"{told}, {_short(figures)}", flush=True)
            _store(stored, learner, step, passed)
            looked, last = time.perf_counter(), step
    _judged(learner, lesson, check)
    _store(stored, learner, step, min(passed, seconds))
    learner.slow.load_state_dict(learner.best)
    figures = {
        "steps": step,
        "views": step * batch,
        "photos": len(learn.pixels),
        "seed": SEED,
        "onward": onward is not None,
        "torch": torch.__version__,
        "device": torch.cuda.get_device_name() if device.type == "cuda" else "cpu",
        "parameters": parameters(learner.net),
        "tune": lesson.figures(learner.slow, check),
        "bytes": export(name, learner.slow, out).stat().st_size,
    }
    (out / f"{name}.json").write_text(json.dumps(figures, indent=2) + "\n", "utf-8")
    return figures


@dataclass
class Learner:
    """A net while it learns: the net, its slow average, and the best average so far."""

    net: nn.Module
    slow: nn.Module
    optimiser: torch.optim.Optimizer
    best: dict[str, Tensor]
    best_score: float = -1.0

    @classmethod
    def of(cls, net: nn.Module, device: torch.device) -> "Learner":
        net = net.to(device).to(memory_format=torch.channels_last)
        slow = copy.deepcopy(net).requires_grad_(False).eval()
        weights = [p for p in net.parameters() if p.ndim > 1]
        others = [p for p in net.parameters() if p.ndim <= 1]
        groups = [{"params": weights}, {"params": others, "weight_decay": 0.0}]
        optimiser = torch.optim.AdamW(groups, lr=RATE, weight_decay=DECAY)
        return cls(net, slow, optimiser, _kept(slow))

    def step(self, loss: Tensor, rate: float, step: int) -> None:
        for group in self.optimiser.param_groups:
            group["lr"] = rate
        self.optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(self.net.parameters(), 5.0)
        self.optimiser.step()
        share = 1 - min(EMA, (1 + step) / (10 + step))
        with torch.no_grad():
            torch._foreach_lerp_(_numbers(self.slow), _numbers(self.net), share)


def _one_step(learner: Learner, lesson: Lesson, views: Any, rate: float, step: int) -> Tensor:
    pictures = views.pictures.contiguous(memory_format=torch.channels_last)
    with torch.autocast(pictures.device.type, torch.bfloat16, enabled=pictures.is_cuda):
        first, second = learner.net(pictures)
    loss = lesson.loss(first.float(), second.float(), views)
    learner.step(loss, rate, step)
    return loss.detach()


def _judged(learner: Learner, lesson: Lesson, check: Stock) -> dict[str, Any]:
    """Figures of the slow average, which is kept when it is the best so far."""
    figures = lesson.figures(learner.slow, check)
    if figures["score"] > learner.best_score:
        learner.best_score, learner.best = figures["score"], _kept(learner.slow)
    return figures


def _kept(net: nn.Module) -> dict[str, Tensor]:
    return {name: value.clone() for name, value in checkpoint.state_of(net).items()}


def _store(path: Path, learner: Learner, step: int, spent: float) -> None:
    groups = {
        "net": checkpoint.state_of(learner.net),
        "slow": checkpoint.state_of(learner.slow),
        "best": learner.best,
        "moments": checkpoint.moments_of(learner.optimiser),
    }
    told = {"step": step, "spent": spent, "score": learner.best_score}
    checkpoint.write(path, groups, told)


def _resumed(path: Path, learner: Learner, device: torch.device) -> tuple[int, float]:
    if not path.exists():
        return 0, 0.0
    groups, told = checkpoint.read(path)
    learner.net.load_state_dict(groups["net"])
    learner.slow.load_state_dict(groups["slow"])
    learner.best = {name: value.to(device) for name, value in groups["best"].items()}
    learner.best_score = told["score"]
    checkpoint.set_moments(learner.optimiser, groups["moments"])
    return int(told["step"]), float(told["spent"])


def _numbers(net: nn.Module) -> list[Tensor]:
    return [v for v in net.state_dict().values() if v.is_floating_point()]


def _cosine(share: float) -> float:
    return 0.5 * (1 + math.cos(math.pi * min(share, 1.0)))


def _short(figures: dict[str, Any]) -> str:
    told = {name: value for name, value in figures.items() if isinstance(value, float)}
    return ", ".join(f"{name} {value:.3f}" for name, value in told.items())
