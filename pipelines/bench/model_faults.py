"""Whether a shop's models survive kills and refuse what was changed.

`python -m pipelines.bench.model_faults --count 200`: so many kills at random moments of training
and promotion, after each of which a whole model must serve; and so many models with one byte
changed, or one file cut short or gone, each of which must be refused.
"""

import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from pipelines.bench.parser import parser_of
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.features import ONCE, UNDER_LIGHT
from tipvision.condition.model import Model, default_model
from tipvision.home import VARIABLE
from tipvision.sealed import ModelFault
from tipvision.shipped import demo_folder
from tipvision.teaching import store
from tipvision.teaching.course import Material, train
from tipvision.teaching.rows import Rows
from tipvision.teaching.writing import write_model

LONGEST = 3.0  # seconds until a training is killed
LONGEST_PROMOTION = 0.15
FILES = ("manifest.json", "parameters.json", "arrays.npz")


def main(arguments: Sequence[str] | None = None) -> int:
    parser = parser_of("model_faults", __doc__)
    parser.add_argument("--count", type=int, default=200)
    count = parser.parse_args(arguments).count
    with tempfile.TemporaryDirectory() as folder:
        os.environ[VARIABLE] = folder
        lost = kills(count, np.random.default_rng(1))
        print(f"kills: {count}; a whole model served after {count - len(lost)}")
        taken = changes(count, np.random.default_rng(2))
        print(f"changed models: {count}; refused {count - len(taken)}")
    for line in (*lost, *taken):
        print(f"  {line}")
    return 1 if lost or taken else 0


def kills(count: int, rng: np.random.Generator, longest: float = LONGEST) -> list[str]:
    """What was lost, a line each, by killing trainings and promotions by turns."""
    serve("first", store.InUse())
    lost = []
    for k in range(count):
        training = k % 2 == 0
        seconds = rng.uniform(0.0, longest if training else LONGEST_PROMOTION)
        before = store.in_use()
        work = partial(_train, k) if training else partial(_promote_on, k)
        if killed(work, seconds):
            lost.append(f"kill {k} after {seconds:.3f} s: the work had failed by itself")
        try:
            for name in (store.in_use().name, *store.names()):
                store.model_called(name)
            store.model_in_use()
        except (ModelFault, store.StoreError) as fault:
            lost.append(f"kill {k} after {seconds:.3f} s, {before.name} in use before: {fault}")
    return lost


def killed(work: Callable[[], object], seconds: float) -> bool:
    """Do it in a process of its own, and kill that after so many seconds; whether it had failed."""
    child = os.fork()
    if child == 0:
        try:
            work()
            os._exit(0)
        finally:
            os._exit(1)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0


def serve(name: str, rival: store.InUse) -> None:
    """Keep a copy of the shipped model as one that has earned its place, and promote it."""
    metrics = {
        "faults": [],
        "plugs": {},
        "compared_with": {"name": rival.name, "sha256": rival.sha256},
    }
    store.keep(name, lambda out: write_model(out, default_model(), "a bench", [], metrics))
    store.promote(name)


def _train(k: int) -> None:
    train(_material(k), f"trained-{k}", "none")


def _promote_on(k: int) -> None:
    for turn in range(1000):
        serve(f"promoted-{k}-{turn}", store.in_use())


def _material(seed: int) -> Material:
    """Rows drawn about what is usual of each condition, all of one demo photo."""
    default = default_model()
    return Material(drawn_rows(default, 25, seed), (), ())


def drawn_rows(default: Model, plugs: int, seed: int) -> Rows:
    """Rows of so many plugs, drawn about the medians of a model."""
    rng = np.random.default_rng(seed)
    label = np.arange(plugs) % len(CONDITIONS)
    noise = rng.standard_normal((plugs, default.medians.shape[1]))
    values = default.medians[label] + 0.5 * default.known.spread * noise
    split = len(UNDER_LIGHT)
    assert values.shape[1] == split + len(ONCE)
    return Rows(
        photo=np.full(plugs, str(demo_folder() / "tb-07-a.jpg")),
        plug=np.arange(plugs),
        label=np.array(CONDITIONS)[label],
        under_light=np.repeat(values[:, None, :split], 64, axis=1).astype(np.float32),
        once=values[:, split:].astype(np.float32),
        lab=values[:, :3],
    )


def changes(count: int, rng: np.random.Generator) -> list[str]:
    """Which changed models were taken all the same, a line each."""
    serve("whole", store.in_use())
    folder = store.models_of_shop() / "whole"
    safe = folder.with_name("whole.safe")
    shutil.copytree(folder, safe)
    taken = []
    for k in range(count):
        what = change(folder / FILES[k % len(FILES)], rng)
        served, called = (_taken(load) for load in (store.model_in_use, _call))
        if served or called:
            taken.append(f"change {k}: {what}")
        shutil.rmtree(folder)
        shutil.copytree(safe, folder)
    shutil.rmtree(safe)
    return taken


def change(path: Path, rng: np.random.Generator) -> str:
    """Change one byte of a file, cut it short or take it away; says what was done."""
    content = bytearray(path.read_bytes())
    kind = ("byte", "cut", "gone")[int(rng.choice(3, p=(0.8, 0.1, 0.1)))]
    at = int(rng.integers(len(content)))
    if kind == "gone":
        path.unlink()
    elif kind == "cut":
        path.write_bytes(content[:at])
    else:
        content[at] ^= int(rng.integers(1, 256))
        path.write_bytes(content)
    return f"{path.name}, {kind} at {at}"


def _call() -> Model:
    return store.model_called("whole")


def _taken(load: Callable[[], Model]) -> bool:
    try:
        load()
    except ModelFault:
        return False
    return True


if __name__ == "__main__":
    sys.exit(main())
