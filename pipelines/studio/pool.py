"""Work spread over processes that take GPUs in turn and never outlive the one that began them."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any, TypeVar

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")

Item = TypeVar("Item")
Result = TypeVar("Result")


def spread(
    work: Callable[[Item], Result], items: Sequence[Item], workers: int, gpus: int = 1
) -> Generator[Result, None, None]:
    """`work` of each item, in the order in which they are done; a single worker is this process.

    More than one are started by spawn, with one numeric thread each. When the iterator is closed
    they finish what they have begun; when this process dies, however that is, they die at once.
    Raises BrokenProcessPool when one of them dies.
    """
    if workers == 1:
        yield from map(work, items)
        return
    for name in THREADS:
        os.environ[name] = "1"
    context = multiprocessing.get_context("spawn")
    turn = context.Value("i", 0)
    pool = ProcessPoolExecutor(workers, context, _begin, (turn, gpus))
    try:
        for done in as_completed([pool.submit(work, item) for item in items]):
            yield done.result()
    finally:
        pool.shutdown(cancel_futures=True)


def _begin(turn: Any, gpus: int) -> None:
    """Prepare a new process, before the renderer looks for GPUs."""
    # An interrupt at the terminal reaches this process too; the first one decides what to stop.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_die_with_parent, daemon=True).start()
    if gpus > 1:
        with turn.get_lock():
            os.environ["CUDA_VISIBLE_DEVICES"] = str(turn.value % gpus)
            turn.value += 1


def _die_with_parent() -> None:
    """Wait until the parent is gone, then end this process without asking the work in hand."""
    parent = multiprocessing.parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)
