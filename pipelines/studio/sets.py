"""Making many renders with a pool of processes, into a folder that keeps to one set; resumes.

Each process does whole photos (set up, render, store): staging fills all processor cores while the
renders take turns on one GPU, and nothing large travels between processes.
"""

import hashlib
import json
import time
from collections.abc import Sequence
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path

from pipelines.studio.looks import LOOKS
from pipelines.studio.pool import spread
from pipelines.studio.store import whole, write_linear

SETTINGS_FILE = "set.json"


class SetError(ValueError):
    """A folder that holds another set, or none; the message says what to do."""


def lists_digest() -> str:
    """Hash of the committed lists of all looks: a set made from other lists is another set."""
    folder = Path(__file__).with_name("looks")
    names = ["common.toml", *(f"{name}.toml" for name in LOOKS)]
    return hashlib.sha256(b"".join((folder / n).read_bytes() for n in names)).hexdigest()


def claim(out: Path, look: str, wide: int, plug: int) -> None:
    """Mark the folder as this set's.

    Raises SetError when it holds another one, or renders of which it does not say what they are.
    """
    out.mkdir(parents=True, exist_ok=True)
    wanted = {"look": look, "lists": lists_digest(), "wide": wide, "plug": plug}
    path = out / SETTINGS_FILE
    if path.exists():
        found = _settings(path)
        if found != wanted:
            differs = [k for k in wanted if found.get(k) != wanted[k]]
            raise SetError(
                f"{out} holds another set (other {', '.join(differs)}). Name another folder."
            )
        return
    if any(out.glob("*.npz")):
        raise SetError(
            f"{out} holds renders, but no {SETTINGS_FILE} that says of what set. Name another "
            "folder, or put that file back."
        )
    part = path.with_name(f".{SETTINGS_FILE}.part")
    part.write_text(json.dumps(wanted), encoding="utf-8")
    part.replace(path)


def _settings(path: Path) -> dict[str, object]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise SetError(f"{path} is damaged. Put it back, or name another folder for the renders.")
    return found


def file_of(out: Path, index: int) -> Path:
    """Where photo number `index` is stored."""
    return out / f"{index:07d}.npz"


@dataclass(frozen=True)
class Tally:
    """What a call of `render_set` made: photos, the firing ends in them, a line for each failure,
    seconds in all and until the first photo stood, and how many photos were not begun in time."""

    photos: int
    firing_ends: int
    failed: tuple[str, ...]
    seconds: float
    first: float
    late: int = 0

    def told(self) -> str:
        """The counts and the speed, for the terminal."""
        lines = [*self.failed, f"{self.photos} made, {len(self.failed)} failed"]
        if self.late:
            lines.append(
                f"Time was up: {self.late} of those asked for are still to be rendered. The same "
                "command goes on."
            )
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
    name: str,
    indices: Sequence[int],
    out: Path,
    workers: int,
    wide: int,
    plug: int,
    limit_s: float,
    gpus: int = 1,
) -> Tally:
    """Render the photos of these numbers, of the look of that name, that are not there yet.

    None is begun after `limit_s`. A stored render that is damaged is made again. `workers`
    processes take turns on `gpus` GPUs, if there are any. Raises SetError when the folder holds
    another set, the look has no such photos, or no renderer runs here.
    """
    _in_the_look(name, indices)
    claim(out, name, wide, plug)
    todo = _missing(out, indices)
    print(f"{name}: {len(todo)} of {len(indices)} to render, {workers} processes", flush=True)
    begin, latest = time.perf_counter(), time.time() + limit_s
    work = partial(_one, name, out, (wide, plug), latest)
    shots, first, made = [], 0.0, 0
    try:
        with closing(spread(work, todo, workers, gpus)) as done:
            for shot in done:
                shots.append(shot)
                if shot.failure is None and not shot.late:
                    made += 1
                    passed = time.perf_counter() - begin
                    first = first or passed
                    if made in (1, 10) or made % 100 == 0 or made == len(todo):
                        print(f"{made} of {len(todo)}: {passed:.0f} s", flush=True)
    except BrokenProcessPool as error:
        raise SetError(
            f"{out}: a process was ended from outside, often for want of memory. Lower --workers; "
            "otherwise the same command goes on."
        ) from error
    return Tally(
        made,
        sum(s.firing_ends for s in shots),
        tuple(s.failure for s in shots if s.failure is not None),
        time.perf_counter() - begin,
        first,
        sum(s.late for s in shots),
    )


def _in_the_look(name: str, indices: Sequence[int]) -> None:
    from pipelines.studio.looks.look import look

    try:
        for index in (indices[0], indices[-1]):
            look(name).seed(index)
    except IndexError as error:
        raise SetError(f"{error}. Lower --first or --count.") from error


def _missing(out: Path, indices: Sequence[int]) -> list[int]:
    """Numbers of the photos that are not stored or stored badly; the latter are named."""
    missing = []
    for index in indices:
        path = file_of(out, index)
        if path.exists():
            if whole(path):
                continue
            print(f"{path} is damaged: it is rendered again", flush=True)
        missing.append(index)
    return missing


def start_renderer() -> None:
    """Start Mitsuba in this process, unless it runs. Raises SetError when none runs here."""
    from pipelines.studio.render import start_once

    try:
        start_once()
    except RuntimeError as error:
        raise SetError(str(error)) from error


def _one(look: str, out: Path, paths: tuple[int, int], latest: float, index: int) -> _Shot:
    """Make one photo."""
    if time.time() > latest:
        return _Shot(late=True)
    from pipelines.studio.looks.job import job
    from pipelines.studio.photo import Samples
    from pipelines.studio.shoot import nothing_black, shoot

    start_renderer()
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
