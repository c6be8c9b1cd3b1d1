"""Training runs at the same time, each in a process of its own."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence


class RunFailed(ValueError):
    """A training run that ended before its time."""


def run_side_by_side(runs: Mapping[str, Sequence[str]], gpus: int) -> None:
    """Run `python -m ARGUMENTS` for each, on the GPUs in turn where there are several.

    runs: arguments by the name that a message gives the run.
    Raises RunFailed when one of them fails; the others run to their end.
    """
    begun = {}
    for k, (name, arguments) in enumerate(runs.items()):
        where = {"CUDA_VISIBLE_DEVICES": str(k % gpus)} if gpus > 1 else {}
        command = [sys.executable, "-m", *arguments]
        begun[name] = subprocess.Popen(command, env=os.environ | where)
    failed = [name for name, run in begun.items() if run.wait() != 0]
    if failed:
        raise RunFailed(f"The run of {' and '.join(failed)} failed; see above.")
