"""Making many photos: renders by a pool of processes, with resume, and photos from stored renders.

Each process does whole photos (set up, render, store): staging fills all processor cores while the
renders take turns on one GPU, and nothing large travels between processes.
"""

import hashlib
import json
import multiprocessing
import os
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from pipelines.studio.looks import LOOKS

SETTINGS_FILE = "set.json"
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


class SetError(ValueError):
    """A folder that holds another set, or none; the message says what to do."""


def lists_digest() -> str:
    """Hash of the committed lists of all looks: a set made from other lists is another set."""
    folder = Path(__file__).with_name("looks")
    names = ["common.toml", *(f"{name}.toml" for name in LOOKS)]
    return hashlib.sha256(b"".join((folder / n).read_bytes() for n in names)).hexdigest()


def claim(out: Path, look: str, wide: int, plug: int) -> None:
    """Mark the folder as this set's. Raises SetError when it holds another one."""
    out.mkdir(parents=True, exist_ok=True)
    wanted = {"look": look, "lists": lists_digest(), "wide": wide, "plug": plug}
    path = out / SETTINGS_FILE
    if path.exists():
        found = json.loads(path.read_text(encoding="utf-8"))
        if found != wanted:
            differs = [k for k in wanted if found.get(k) != wanted[k]]
            raise SetError(
                f"{out} holds another set (other {', '.join(differs)}). Name another folder."
            )
        return
    path.write_text(json.dumps(wanted), encoding="utf-8")


def file_of(out: Path, index: int) -> Path:
    """Where photo number `index` is stored."""
    return out / f"{index:07d}.npz"


@dataclass(frozen=True)
class Tally:
    """What a call of `render_set` made: photos, the firing ends in them, a line for each failure,
    seconds in all and until the first photo stood."""

    photos: int
    firing_ends: int
    failed: tuple[str, ...]
    seconds: float
    first: float

    def told(self) -> str:
        """The counts and the speed, for the terminal."""
        lines = [*self.failed, f"{self.photos} made, {len(self.failed)} failed"]
        if self.photos > 1:
            # The first photo waits for the processes to start and the code to be compiled.
            speed = (self.photos - 1) / max(self.seconds - self.first, 1e-9)
            many = speed * (600 - self.first)
            ends = many * self.firing_ends / self.photos
            lines.append(
                f"{speed:.2f} photos a second once the first stood ({self.first:.0f} s); ten "
                f"minutes make about {many:.0f} photos, {ends:.0f} firing ends"
            )
        return "\n".join(lines)


@dataclass(frozen=True)
class _Shot:
    """How one photo went; `failure` says why there is none, `late` that it was not begun."""

    firing_ends: int = 0
    failure: str | None = None
    late: bool = False


def render_set(
    look: str,
    indices: Sequence[int],
    out: Path,
    workers: int,
    wide: int,
    plug: int,
    limit_s: float,
    gpus: int = 1,
) -> Tally:
    """Render the photos of these numbers that are not there yet; begin none after `limit_s`.

    `workers` processes take turns on `gpus` GPUs, if there are any. Raises SetError when the folder
    holds another set.
    """
    claim(out, look, wide, plug)
    todo = [i for i in indices if not file_of(out, i).exists()]
    print(f"{look}: {len(todo)} of {len(indices)} to render, {workers} processes", flush=True)
    begin, latest = time.perf_counter(), time.time() + limit_s
    shots, first = [], 0.0
    for shot in _shots(look, todo, out, workers, (wide, plug), latest, gpus):
        shots.append(shot)
        made = sum(1 for s in shots if s.failure is None and not s.late)
        if shot.failure is None and not shot.late:
            passed = time.perf_counter() - begin
            first = first or passed
            if made in (1, 10) or made % 100 == 0 or made == len(todo):
                print(f"{made} of {len(todo)}: {passed:.0f} s", flush=True)
    return Tally(
        sum(1 for s in shots if s.failure is None and not s.late),
        sum(s.firing_ends for s in shots),
        tuple(s.failure for s in shots if s.failure is not None),
        time.perf_counter() - begin,
        first,
    )


def _shots(
    look: str,
    todo: Sequence[int],
    out: Path,
    workers: int,
    paths: tuple[int, int],
    latest: float,
    gpus: int,
) -> Iterator[_Shot]:
    if workers <= 1:
        for index in todo:
            yield _one(look, index, out, paths, latest)
        return
    for name in THREADS:
        os.environ[name] = "1"
    context = multiprocessing.get_context("spawn")
    turn = context.Value("i", 0)
    with ProcessPoolExecutor(workers, context, _take_gpu, (turn, gpus)) as pool:
        waiting = [pool.submit(_one, look, i, out, paths, latest) for i in todo]
        for done in as_completed(waiting):
            yield done.result()


def _take_gpu(turn: Any, gpus: int) -> None:
    """Give this process one of the GPUs in turn, before the renderer looks for them."""
    if gpus > 1:
        with turn.get_lock():
            os.environ["CUDA_VISIBLE_DEVICES"] = str(turn.value % gpus)
            turn.value += 1


def _one(look: str, index: int, out: Path, paths: tuple[int, int], latest: float) -> _Shot:
    """Make one photo."""
    if time.time() > latest:
        return _Shot(late=True)
    from pipelines.studio import render
    from pipelines.studio.looks.job import job
    from pipelines.studio.photo import Samples
    from pipelines.studio.shoot import nothing_black, shoot
    from pipelines.studio.store import write_linear

    render.start_once()
    wanted = job(look, index)
    try:
        linear = shoot(wanted, Samples(*paths))
    except Exception as error:
        said = f"{type(error).__name__}: {error} ({asdict(wanted)['plug']})"
        return _Shot(failure=f"{look} {index}: {said}")
    if not nothing_black(linear):
        return _Shot(failure=f"{look} {index}: the render is black or not finite")
    write_linear(file_of(out, index), linear)
    return _Shot(firing_ends=len(linear.truth.plugs))
