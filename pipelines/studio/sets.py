"""Making many photos: renders by a pool of processes, with resume, and photos from stored renders.

Each process does whole photos (set up, render, store): staging fills all processor cores while the
renders take turns on one GPU, and nothing large travels between processes.
"""

import hashlib
import json
import multiprocessing
import os
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict
from pathlib import Path

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


def render_set(
    look: str, indices: Sequence[int], out: Path, workers: int, wide: int, plug: int, limit_s: float
) -> tuple[int, list[str]]:
    """Render the photos of these numbers that are not there yet; stop after `limit_s` seconds.

    Returns how many were made and one line for each that failed. Raises SetError when the folder
    holds another set.
    """
    claim(out, look, wide, plug)
    todo = [i for i in indices if not file_of(out, i).exists()]
    print(f"{look}: {len(todo)} of {len(indices)} to render, {workers} processes", flush=True)
    begin = time.perf_counter()
    made, failed = 0, []
    if workers <= 1:
        for index in todo:
            if time.perf_counter() - begin > limit_s:
                break
            line = _one(look, index, out, wide, plug)
            made, failed = (made + 1, failed) if line is None else (made, [*failed, line])
            _tell(made, len(todo), begin)
        return made, failed
    for name in THREADS:
        os.environ[name] = "1"
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context) as pool:
        waiting = [pool.submit(_one, look, i, out, wide, plug, begin_by(limit_s)) for i in todo]
        for done in as_completed(waiting):
            line = done.result()
            if line is None:
                made += 1
                _tell(made, len(todo), begin)
            elif line != LATE:
                failed.append(line)
    return made, failed


LATE = "late"


def begin_by(limit_s: float) -> float:
    """Clock time after which no further photo is begun."""
    return time.time() + limit_s


def _one(
    look: str, index: int, out: Path, wide: int, plug: int, latest: float | None = None
) -> str | None:
    """Make one photo; None when it stands, LATE when time was up, else what went wrong."""
    if latest is not None and time.time() > latest:
        return LATE
    from pipelines.studio import render
    from pipelines.studio.looks.job import job
    from pipelines.studio.photo import Samples
    from pipelines.studio.shoot import nothing_black, shoot
    from pipelines.studio.store import write_linear

    render.start_once()
    wanted = job(look, index)
    try:
        linear = shoot(wanted, Samples(wide, plug))
    except Exception as error:
        return f"{look} {index}: {type(error).__name__}: {error} ({asdict(wanted)['plug']})"
    if not nothing_black(linear):
        return f"{look} {index}: the render is black or not finite"
    write_linear(file_of(out, index), linear)
    return None


def _tell(made: int, of: int, begin: float) -> None:
    if made in (1, 10) or made % 100 == 0 or made == of:
        passed = time.perf_counter() - begin
        print(f"{made} of {of}: {passed:.0f} s, {made / passed:.2f} photos a second", flush=True)
